package season

import (
	"strings"

	"larder/internal/fault"
	"larder/internal/hive"
	"larder/internal/stores"
	"larder/internal/units"
)

func hiveOf(st *State, id string) hive.Stack {
	if c, ok := st.Colony(id); ok {
		return c.Stack
	}
	return hive.Stack{}
}

// ReadFrames reads frames of stores as counted in a stack: "6½" where there is
// one kind of box, "4; 2¼" box by box, the lowest first, or with their names,
// "lang10-deep 4; lang10-medium 2". "+ 1 open" counts unripe food. Faults:
// fault.Missing when it is not clear which box is meant, fault.NotUnderstood.
// Whether so many go into the box is for stores.Judge to say.
func ReadFrames(text string, s hive.Stack, l units.Locale) ([]stores.FrameCount, error) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == ';' || r == '\n' })
	kinds := kindsOf(s)
	var out []stores.FrameCount
	for i, p := range parts {
		f, err := frameCount(strings.TrimSpace(p), l)
		if err != nil {
			return nil, err
		}
		if f.Box == "" {
			switch {
			case len(kinds) == 1 || len(kinds) == 0 && len(parts) == 1:
				f.Box = first1(kinds)
			case len(parts) == len(s.Boxes):
				f.Box = s.Boxes[i].Kind
			default:
				return nil, fault.New(fault.Missing, "", "it is not clear which box these frames are in").
					WithHint("box by box, the lowest first, for example 4; 2 (the stack is %s)", s)
			}
		}
		out = add(out, f)
	}
	if len(out) == 0 {
		return nil, fault.New(fault.Missing, "", "no frames are told").WithHint("0 is an empty box, - is not read")
	}
	return out, nil
}

// add puts counts of the same kind of box together, as they are judged.
func add(l []stores.FrameCount, f stores.FrameCount) []stores.FrameCount {
	for i := range l {
		if l[i].Box == f.Box {
			l[i].Sealed += f.Sealed
			l[i].Open += f.Open
			return l
		}
	}
	return append(l, f)
}

func first1(s []string) string {
	if len(s) == 0 {
		return ""
	}
	return s[0]
}

func kindsOf(s hive.Stack) []string {
	var out []string
	seen := map[string]bool{}
	for _, b := range s.Boxes {
		if !seen[b.Kind] {
			seen[b.Kind] = true
			out = append(out, b.Kind)
		}
	}
	return out
}

// frameCount reads "[box] 4¼ [+ 1 open]".
func frameCount(p string, l units.Locale) (f stores.FrameCount, err error) {
	bad := fault.Newf(fault.NotUnderstood, "", "%q is not a count of frames", p).WithHint("write for example 4¼, or 4 + 1 open")
	sealed, open, has := strings.Cut(p, "+")
	w := strings.Fields(sealed)
	if len(w) > 1 && !strings.ContainsAny(w[0][:1], "0123456789.,½¼¾") {
		f.Box = strings.ToLower(strings.TrimSuffix(w[0], ":"))
		if _, err := hive.Default().Box(f.Box); err != nil {
			return f, err
		}
		w = w[1:]
	}
	if f.Sealed, err = plainNumber(strings.Join(w, " "), l); err != nil || f.Sealed < 0 {
		return f, bad
	}
	if has {
		n, ok := strings.CutSuffix(strings.ToLower(strings.TrimSpace(open)), "open")
		if !ok {
			n, ok = strings.CutSuffix(strings.ToLower(strings.TrimSpace(open)), "abierta")
		}
		if f.Open, err = plainNumber(strings.TrimSpace(n), l); err != nil || !ok || f.Open < 0 {
			return f, bad
		}
	}
	return f, nil
}

// plainNumber reads a number without a unit. Package units reads numbers only as
// amounts, and has the rules for marks, grouping and fractions; a temperature is
// the one amount that may stand for any number.
func plainNumber(s string, l units.Locale) (float64, error) {
	if strings.ContainsFunc(s, func(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '°' }) {
		return 0, fault.Newf(fault.NotUnderstood, "", "%q is not a number", s).WithHint("write a plain number, for example 4.5")
	}
	t, err := units.ParseTempIn(s, "C", l)
	return t.C(), err
}
