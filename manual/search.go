package manual

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Hit is a section in which all words were found.
type Hit struct {
	*Section
	Say   []Bit // a piece of its text around the words
	score int
}

// Bit is a piece of text; one of the words that were looked for, or not.
type Bit struct {
	Text string
	Hit  bool
}

// Snippet gives the piece of text without marks.
func (h Hit) Snippet() string {
	var b strings.Builder
	for _, x := range h.Say {
		b.WriteString(x.Text)
	}
	return b.String()
}

// Limits of what is looked for.
const (
	maxQuery   = 200 // bytes
	maxWords   = 8
	snippetLen = 170 // runes
)

// fold makes a text comparable: small letters without accents.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return unicode.ToLower(r)
	}, norm.NFD.String(s))
}

// Words are what is looked for: words of letters, digits and what stands in
// names of settings. Marks around them say nothing.
func Words(query string) []string {
	query = strings.ToValidUTF8(query[:min(len(query), maxQuery)], "")
	f := strings.FieldsFunc(fold(query), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("._-%°:/#", r)
	})
	var out []string
	for _, w := range f {
		if w = strings.Trim(w, ".-:/#"); w != "" && !slices.Contains(out, w) && len(out) < maxWords {
			out = append(out, w)
		}
	}
	return out
}

// Text of a section as one folded line.
func (s *Section) folded() string {
	s.once.Do(func() { s.plain = fold(s.oneLine()) })
	return s.plain
}

func (s *Section) oneLine() string {
	var b strings.Builder
	for _, n := range s.nodes {
		b.WriteString(s.Page.words(n))
		b.WriteByte(' ')
	}
	return strings.TrimSpace(b.String())
}

// Search gives the sections that have all words, each at the beginning of a
// word of theirs, the best first: what has them in its heading, then what has
// them most often for its length. No words, no hits.
func (b *Book) Search(query string) []Hit {
	words := Words(query)
	if len(words) == 0 {
		return nil
	}
	var out []Hit
	for _, p := range b.Pages {
		for _, s := range p.Sections {
			if n := s.score(words); n > 0 {
				out = append(out, Hit{Section: s, Say: s.snippet(words), score: n})
			}
		}
	}
	slices.SortStableFunc(out, func(x, y Hit) int { return cmp.Compare(y.score, x.score) })
	return out
}

// score tells how well a section fits, 0 = not all words are in it.
func (s *Section) score(words []string) int {
	title, page, text := fold(s.Title), fold(s.Page.Title), s.folded()
	sum := 0
	for _, w := range words {
		n := 0
		if in := beginnings(title, w); in > 0 {
			n += 40
			if title == w || strings.HasPrefix(title, w+" ") {
				n += 20
			}
		}
		if beginnings(page, w) > 0 {
			n += 5
		}
		n += min(beginnings(text, w), 10) * 2
		if n == 0 || n == 5 && s.Level > 1 { // of the page's title alone it is found once
			return 0
		}
		sum += n
	}
	return sum
}

// beginnings counts the words of text that begin so.
func beginnings(text, w string) int {
	n := 0
	for at := 0; ; {
		i := strings.Index(text[at:], w)
		if i < 0 {
			return n
		}
		if i += at; startsWord(text, i) {
			n++
		}
		at = i + len(w)
	}
}

func startsWord(text string, i int) bool {
	if i == 0 {
		return true
	}
	last, _ := utf8.DecodeLastRuneInString(text[:i])
	return !unicode.IsLetter(last) && !unicode.IsDigit(last)
}

// snippet cuts a piece out of the text around the first of the words, and marks
// the words in it.
func (s *Section) snippet(words []string) []Bit {
	text := []rune(s.oneLine())
	folded := make([]string, 0, 64)
	starts := []int{}
	for i := 0; i < len(text); {
		j := i
		for j < len(text) && !unicode.IsSpace(text[j]) {
			j++
		}
		if j > i {
			folded, starts = append(folded, fold(string(text[i:j]))), append(starts, i)
		}
		i = j + 1
	}
	has := func(word string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return beginnings(word, w) > 0 })
	}
	first := max(0, slices.IndexFunc(folded, has))
	if len(folded) == 0 {
		return nil
	}
	from := first
	for from > 0 && starts[first]-starts[from-1] < snippetLen/3 {
		from--
	}
	var out []Bit
	put := func(t string, hit bool) {
		if n := len(out); n > 0 && out[n-1].Hit == hit {
			out[n-1].Text += t
			return
		}
		out = append(out, Bit{t, hit})
	}
	if from > 0 {
		put("… ", false)
	}
	end := from
	for ; end < len(folded) && starts[end]-starts[from] < snippetLen; end++ {
		stop := len(text)
		if end+1 < len(starts) {
			stop = starts[end+1] - 1
		}
		if end > from {
			put(" ", false)
		}
		put(strings.TrimSpace(string(text[starts[end]:stop])), has(folded[end]))
	}
	if end < len(folded) {
		put(" …", false)
	}
	return out
}
