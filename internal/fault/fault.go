// Package fault is the closed list of things that can go wrong, each with a
// sentence a keeper understands and a hint how to mend it.
//
// Every error that may reach a person is a *[Error]. Anything else is a
// mistake of the program ([Internal]) and is shown as such, without details.
// The list of kinds is closed on purpose: exit codes, screens and the manual
// are written against it, so a new kind means a new line in each.
package fault

import (
	"errors"
	"fmt"
	"strings"
)

// Kind says what sort of trouble it is.
type Kind uint8

// The kinds. Their order is stable; the manual numbers errors by it.
const (
	Internal      Kind = iota // we broke; never the keeper's doing
	NotUnderstood             // what was typed or read cannot be made sense of
	OutOfRange                // understood, but outside what can be
	NotKnownHere              // outside the range of the source a figure comes from
	Missing                   // something needed has not been told yet
	NotFound                  // no such yard, colony, file, figure …
	Conflict                  // two things that cannot both be so (same name, same id)
	Unsafe                    // must not be done to bees, people or honey
	WontFit                   // more than it holds: feeder, tank, stack, truck
	Damaged                   // a file or book is not what it should be
	Busy                      // somebody else has it open
	NoRoom                    // disk full
	Unreachable               // a server or place that does not answer
	Usage                     // wrong use of a command
	Stopped                   // the keeper stopped it
)

var names = [...]string{
	"internal", "not understood", "out of range", "not known here", "missing",
	"not found", "conflict", "unsafe", "won't fit", "damaged", "busy", "no room",
	"unreachable", "usage", "stopped",
}

func (k Kind) String() string {
	if int(k) < len(names) {
		return names[k]
	}
	return fmt.Sprintf("fault.Kind(%d)", uint8(k))
}

// Kinds are all kinds, in order.
func Kinds() []Kind {
	out := make([]Kind, len(names))
	for i := range out {
		out[i] = Kind(i)
	}
	return out
}

// Number is how the manual calls the kind, "E05": it stays the same for ever.
func (k Kind) Number() string { return fmt.Sprintf("E%02d", uint8(k)) }

// Error is one trouble. Say and Hint are for the keeper; Err is for the log.
type Error struct {
	Kind  Kind
	Op    string // what was being done: "syrup.Density", "read readings.csv"
	Thing string // what it concerns: a colony, a file and row, a figure
	Say   string // one sentence, no full stop needed, no jargon
	Hint  string // how to mend it; may be empty
	Err   error  // the cause below, if any
}

// Error gives the sentence, led by the thing it concerns.
func (e *Error) Error() string {
	var b strings.Builder
	if e.Thing != "" {
		b.WriteString(e.Thing)
		b.WriteString(": ")
	}
	switch {
	case e.Say != "":
		b.WriteString(e.Say)
	case e.Err != nil:
		b.WriteString(e.Err.Error())
	default:
		b.WriteString(e.Kind.String())
	}
	return b.String()
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

// New makes an error of kind k about thing, with the sentence say.
func New(k Kind, thing, say string) *Error { return &Error{Kind: k, Thing: thing, Say: say} }

// Newf is New with a formatted sentence.
func Newf(k Kind, thing, format string, args ...any) *Error {
	return &Error{Kind: k, Thing: thing, Say: fmt.Sprintf(format, args...)}
}

// WithHint returns e with the hint set; it changes e.
func (e *Error) WithHint(format string, args ...any) *Error {
	e.Hint = fmt.Sprintf(format, args...)
	return e
}

// Wrap says what was being done when err came up. A *Error keeps its kind,
// sentence and hint; anything else becomes Internal. Wrap(nil) is nil.
func Wrap(err error, op string) error {
	if err == nil {
		return nil
	}
	var e *Error
	if errors.As(err, &e) {
		c := *e
		if c.Op == "" {
			c.Op = op
		} else {
			c.Op = op + ": " + c.Op
		}
		return &c
	}
	return &Error{Kind: Internal, Op: op, Err: err}
}

// KindOf gives the kind of err: Internal for errors that are not ours.
func KindOf(err error) Kind {
	var e *Error
	if errors.As(err, &e) {
		return e.Kind
	}
	return Internal
}

// Is tells whether err is of kind k.
func Is(err error, k Kind) bool { return err != nil && KindOf(err) == k }

// HintOf gives the hint of err, or "".
func HintOf(err error) string {
	var e *Error
	if errors.As(err, &e) {
		return e.Hint
	}
	return ""
}

// List is several troubles at once: all that is wrong with one file, say.
type List []error

// Error gives one line per trouble.
func (l List) Error() string {
	s := make([]string, len(l))
	for i, e := range l {
		s[i] = e.Error()
	}
	return strings.Join(s, "\n")
}

// Unwrap lets errors.As look into each.
func (l List) Unwrap() []error { return l }

// OrNil gives nil for an empty list.
func (l List) OrNil() error {
	if len(l) == 0 {
		return nil
	}
	return l
}
