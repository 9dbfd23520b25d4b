package web

import (
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"larder/internal/units"
)

// Sentences of the core are translated by their English wording. Most stand in
// the core as they are, with {0} for an amount; those are looked up whole. Some
// faults are put together there from a pattern ("%s is not a weight"); what they
// became is matched against the patterns, and what stood for the verbs is put
// into the translation.

// sentence gives a sentence of the core in another language, with its amounts
// in the keeper's units. One that nobody has translated stays English.
func (t *texts) sentence(s units.Style, say string, amounts []any) string {
	if m := t.sentences[s.Lang]; m != nil {
		say = m.translate(say)
	}
	return strings.TrimSpace(s.Say(say, amounts))
}

// sentences are those of one language.
type sentences struct {
	whole    map[string]string
	patterns []pattern // the more words of its own, the earlier
}

// pattern is a wording with fmt verbs and its translation.
type pattern struct {
	english *regexp.Regexp
	parts   []string // of the translation, between its verbs
	order   []int    // which of the English verbs stands after each part but the last
	own     int      // letters of its own
}

// verbs finds the verbs of a fmt pattern, and what stands for a percent sign.
var verbs = regexp.MustCompile(`%(\[\d+\])?[-+#0]*\d*(\.\d+)?[sdvqfgxT%]`)

func newSentences(m map[string]string) *sentences {
	t := &sentences{whole: m}
	for _, k := range slices.Sorted(maps.Keys(m)) {
		if verbs.MatchString(k) {
			t.patterns = append(t.patterns, newPattern(k, m[k]))
		}
	}
	slices.SortStableFunc(t.patterns, func(a, b pattern) int { return b.own - a.own })
	return t
}

func newPattern(english, other string) pattern {
	var p pattern
	var re strings.Builder
	re.WriteString(`(?s)^`)
	rest := english
	for _, at := range append(verbs.FindAllStringIndex(english, -1), []int{len(english), len(english)}) {
		plain := rest[:at[0]-(len(english)-len(rest))]
		re.WriteString(regexp.QuoteMeta(plain))
		p.own += len(plain)
		if verb := english[at[0]:at[1]]; verb == "%%" {
			re.WriteByte('%')
		} else if verb != "" {
			re.WriteString(`(.+)`)
		}
		rest = english[at[1]:]
	}
	re.WriteString(`$`)
	p.english = regexp.MustCompile(re.String())
	p.parts, p.order = cutVerbs(other)
	return p
}

// cutVerbs takes a pattern apart at its verbs.
func cutVerbs(s string) (parts []string, order []int) {
	n, part := 0, ""
	for {
		at := verbs.FindStringIndex(s)
		if at == nil {
			return append(parts, part+s), order
		}
		part += s[:at[0]]
		verb := s[at[0]:at[1]]
		s = s[at[1]:]
		if verb == "%%" {
			part += "%"
			continue
		}
		k := n
		if verb[1] == '[' {
			k, _ = strconv.Atoi(verb[2:strings.IndexByte(verb, ']')]) // the regexp took digits only
			k--
		}
		parts, order, part = append(parts, part), append(order, k), ""
		n++
	}
}

// nested is how deep one sentence may stand within another.
const nested = 3

func (t *sentences) translate(say string) string { return t.at(say, nested) }

func (t *sentences) at(say string, deep int) string {
	if tr := t.whole[say]; tr != "" {
		return tr
	}
	if deep == 0 || say == "" {
		return say
	}
	// A fault leads with what it is about: "m4: this is not a weight". One that is known
	// whole comes before a pattern that would fit the two together.
	for i := range say {
		if tail, led := strings.CutPrefix(say[i:], ": "); led && t.whole[tail] != "" {
			return t.at(say[:i], 0) + ": " + t.whole[tail]
		}
	}
	for _, p := range t.patterns {
		if m := p.english.FindStringSubmatch(say); m != nil {
			return t.fill(p, m[1:], deep)
		}
	}
	if head, tail, ok := strings.Cut(say, ": "); ok {
		return t.at(head, 0) + ": " + t.at(tail, deep-1)
	}
	return say
}

// fill puts what stood for the verbs into the translation; that may be a
// sentence or a word of ours too.
func (t *sentences) fill(p pattern, values []string, deep int) string {
	var b strings.Builder
	for i, part := range p.parts {
		b.WriteString(part)
		if i < len(p.order) && p.order[i] < len(values) {
			b.WriteString(t.at(values[p.order[i]], deep-1))
		}
	}
	return b.String()
}
