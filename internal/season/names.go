package season

import (
	"strings"
	"unicode"

	"larder/internal/apiary"
)

// NameKey brings the name of a hive to the form by which a table is matched:
// case, spaces, marks, leading zeros and the word "hive" before it do not
// matter. "Hive 014", "014" and "14" are one; "m2" and "M 02" are.
func NameKey(name string) string {
	w := strings.Fields(strings.ToLower(strings.NewReplacer("#", " ", "_", " ", "-", " ", ".", " ", "/", " ").Replace(name)))
	if len(w) > 1 {
		switch w[0] {
		case "hive", "colony", "no", "nr", "colmena", "volk":
			w = w[1:]
		}
	}
	var b strings.Builder
	s := strings.Join(w, "")
	for s != "" {
		if n := digits(s); n > 0 {
			d := strings.TrimLeft(s[:n], "0")
			if d == "" {
				d = "0"
			}
			b.WriteString(d)
			s = s[n:]
			continue
		}
		i := strings.IndexFunc(s, func(r rune) bool { return r >= '0' && r <= '9' })
		if i < 0 {
			i = len(s)
		}
		for _, r := range s[:i] {
			if unicode.IsPrint(r) {
				b.WriteRune(r)
			}
		}
		s = s[i:]
	}
	return b.String()
}

// namesByKey gives the hives by the key of their name. Hives that are no more
// are in it too: readings of the time before are theirs.
func (st *State) namesByKey() map[string][]string {
	out := map[string][]string{}
	for _, c := range st.Colonies() {
		k := NameKey(c.ID)
		out[k] = append(out[k], c.ID)
	}
	return out
}

// matches finds the one hive a name stands for.
func (r *pasteReader) matches(name string) (string, bool) {
	if _, ok := r.st.Colony(name); ok {
		return name, true
	}
	l := r.byKey[NameKey(name)]
	if len(l) == 1 {
		return l[0], true
	}
	return "", false
}

// keyed is a hive and the key of its name.
type keyed struct{ id, key string }

func (st *State) keyed() []keyed {
	var out []keyed
	for _, c := range st.Colonies() {
		if c.State == apiary.Alive {
			out = append(out, keyed{c.ID, NameKey(c.ID)})
		}
	}
	return out
}

// near lists up to five living hives whose name is like one: one letter apart,
// two in a long name, or the one name with something before or behind it.
func (r *pasteReader) near(name string) []string {
	key := NameKey(name)
	if key == "" {
		return nil
	}
	var close, far []string
	for _, c := range r.living {
		d := apart(key, c.key)
		part := c.key != "" && (strings.HasSuffix(key, c.key) || strings.HasPrefix(key, c.key) || strings.HasSuffix(c.key, key))
		switch {
		case d <= 1:
			close = append(close, c.id)
		case part || d == 2 && len(key) > 4:
			far = append(far, c.id)
		}
	}
	close = append(close, far...)
	return close[:min(5, len(close))]
}

// apart counts the letters to change, add or take out between two names.
func apart(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 64 || len(y) > 64 {
		return 64
	}
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		prev := row[0]
		row[0] = i + 1
		for j := range y {
			cost := prev
			if x[i] != y[j] {
				cost++
			}
			prev = row[j+1]
			row[j+1] = min(cost, row[j]+1, prev+1)
		}
	}
	return row[len(y)]
}
