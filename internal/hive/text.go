package hive

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"larder/internal/fault"
	"larder/internal/units"
)

// Words of a stack's text that are not box kinds.
const (
	polyWord = "poly"
	tareWord = "tare"
)

// maxBoxes is the most boxes a stack's text may have; a mistyped "x22" is
// asked about rather than stacked.
const maxBoxes = 12

// ParseStack reads a stack with the kinds of [Default]; see
// [Catalogue.ParseStack].
func ParseStack(text string) (Stack, error) { return Default().ParseStack(text) }

// ParseStack reads the text of a stack, lowest box first:
//
//	lang10-deep + lang10-medium       two boxes
//	bsn-deep:9 + bsn-shallow x2       nine frames in the first, two shallows
//	lang10-deep + poly                of polystyrene
//	nuc5-deep + tare 6.5 kg           measured empty weight of the whole
//
// Capitals and spaces inside a name do not matter. An empty text is the zero
// Stack: nothing told. Faults: fault.NotUnderstood, fault.NotFound (with the
// nearest known kind as a hint), fault.OutOfRange. ParseStack(s.String()) is s
// for every stack of known kinds.
func (c Catalogue) ParseStack(text string) (Stack, error) {
	var s Stack
	if strings.TrimSpace(text) == "" {
		return s, nil
	}
	for part := range strings.SplitSeq(text, "+") {
		if err := c.parsePart(&s, strings.Fields(strings.ToLower(part)), text); err != nil {
			return Stack{}, err
		}
	}
	if len(s.Boxes) > maxBoxes {
		return Stack{}, fault.Newf(fault.OutOfRange, text, "%d boxes on one hive cannot be", len(s.Boxes)).
			WithHint("x2 after a box means two of it")
	}
	return s, nil
}

// parsePart reads one thing between plus signs into s.
func (c Catalogue) parsePart(s *Stack, words []string, text string) error {
	switch {
	case len(words) == 0:
		return fault.New(fault.NotUnderstood, text, "there is nothing between two plus signs").
			WithHint("write lang10-deep + lang10-medium")
	case len(words) == 1 && words[0] == polyWord:
		s.Poly = true
		return nil
	case words[0] == tareWord:
		return parseTare(s, strings.Join(words[1:], " "), text)
	}
	n := 1
	if last := words[len(words)-1]; len(words) > 1 && countWord(last) {
		n, _ = strconv.Atoi(strings.TrimLeft(last, "x×"))
		words = words[:len(words)-1]
		if n < 1 || n > maxBoxes {
			return fault.Newf(fault.OutOfRange, text, "%s of one box cannot be", last).WithHint("x2 means two of it")
		}
	}
	b, err := c.parseBox(strings.Join(words, "-"), text)
	if err != nil {
		return err
	}
	for range n {
		s.Boxes = append(s.Boxes, b)
	}
	return nil
}

func (c Catalogue) parseBox(word, text string) (Box, error) {
	name, count, counted := strings.Cut(word, ":")
	name = strings.Trim(name, "-")
	b := Box{Kind: name}
	if counted {
		n, err := strconv.Atoi(strings.Trim(count, "-"))
		if err != nil || n < 1 {
			return b, fault.Newf(fault.NotUnderstood, text, "%q is not a number of frames", count).
				WithHint("write bsn-deep:9 for nine frames")
		}
		b.Frames = n
	}
	if _, err := c.Box(name); err != nil {
		return b, err
	}
	return b, nil
}

func parseTare(s *Stack, mass, text string) error {
	var m units.Mass
	if err := m.UnmarshalText([]byte(mass)); err != nil || !(m >= 0 && m < 500) {
		return fault.Newf(fault.NotUnderstood, text, "%q is not an empty weight", mass).WithHint("write tare 18.5 kg")
	}
	s.Tare, s.TareKnown = m, true
	return nil
}

// countWord tells whether w is "x2" or "×2".
func countWord(w string) bool {
	d := strings.TrimLeft(w, "x×")
	return d != w && d != "" && strings.TrimFunc(d, unicode.IsDigit) == ""
}

// String writes the text that [ParseStack] reads; equal neighbours are drawn
// together.
func (s Stack) String() string {
	var parts []string
	for i := 0; i < len(s.Boxes); {
		n := 1
		for i+n < len(s.Boxes) && s.Boxes[i+n] == s.Boxes[i] {
			n++
		}
		t := s.Boxes[i].Kind
		if f := s.Boxes[i].Frames; f > 0 {
			t += ":" + strconv.Itoa(f)
		}
		if n > 1 {
			t += " x" + strconv.Itoa(n)
		}
		parts = append(parts, t)
		i += n
	}
	if s.Poly {
		parts = append(parts, polyWord)
	}
	if s.TareKnown {
		parts = append(parts, tareWord+" "+s.Tare.String())
	}
	return strings.Join(parts, " + ")
}

// Bare gives the stack without its measured tare: two hives of one Bare are
// built alike.
func (s Stack) Bare() Stack {
	s.Tare, s.TareKnown = 0, false
	return s
}

// Typed gives the text of a stack with its measured tare as people write it: in
// whole hundredths of a pound where it was typed in pounds. It reads back as s.
func (s Stack) Typed() string {
	lb := math.Round(float64(s.Tare/units.Pound)*100) / 100
	kg := math.Round(s.Tare.Kg()*1000) / 1000
	if !s.TareKnown || units.Mass(kg) == s.Tare {
		return s.String()
	}
	text := strings.TrimSuffix(s.String(), s.Tare.String()) + strconv.FormatFloat(lb, 'f', -1, 64) + " lb"
	if t, err := ParseStack(text); err != nil || t.Tare != s.Tare {
		return s.String()
	}
	return text
}
