package web_test

import (
	"regexp"
	"strings"
	"testing"
	"unicode"

	"golang.org/x/net/html"
)

// grade is the school grade a text can be read in, by the formula of Kincaid,
// Fishburne, Rogers and Chissom (Derivation of New Readability Formulas, Research
// Branch Report 8-75, 1975): 0.39 words a sentence + 11.8 syllables a word − 15.59.
func grade(words, sentences, syllables int) float64 {
	return 0.39*float64(words)/float64(sentences) + 11.8*float64(syllables)/float64(words) - 15.59
}

// syllables counts groups of vowels, but for a silent e at the end: a rule of thumb.
func syllables(word string) int {
	n, was := 0, false
	word = strings.ToLower(word)
	for _, r := range word {
		is := strings.ContainsRune("aeiouyáéíóú", r)
		if is && !was {
			n++
		}
		was = is
	}
	if strings.HasSuffix(word, "e") && !strings.HasSuffix(word, "le") && n > 1 {
		n--
	}
	return max(n, 1)
}

// sentences takes a paragraph apart. A point within a number ends nothing.
var sentenceEnd = regexp.MustCompile(`[.!?:;](\s+|$)`)

// The first sentence a page says has at most twenty words, and what all pages say in
// sentences can be read by who went eight years to school.
func TestPagesArePlain(t *testing.T) {
	words8, sentences8, syllables8, pages := 0, 0, 0, 0
	for _, s := range english.Stories {
		if s.State != "typical" || s.Screen == "print" {
			continue
		}
		w, err := english.Answer(s)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := html.Parse(strings.NewReader(w.Body.String()))
		if err != nil {
			t.Fatal(err)
		}
		first := true
		for x := range doc.Descendants() {
			if x.Type != html.ElementNode || x.Data != "p" || !inside(x, "main") || inside(x, "nav", "table", "form") {
				continue
			}
			for _, said := range sentenceEnd.Split(words(x), -1) {
				all := strings.FieldsFunc(said, func(r rune) bool {
					return !unicode.IsLetter(r) && !unicode.IsNumber(r) && r != '\'' && r != '-' && r != '.'
				})
				if len(all) < 4 { // a label, a link
					continue
				}
				if first {
					first = false
					pages++
					if len(all) > 20 {
						t.Errorf("%s begins with %d words: %s", s.Name(), len(all), said)
					}
				}
				sentences8++
				words8 += len(all)
				for _, x := range all {
					syllables8 += syllables(x)
				}
			}
		}
	}
	if pages < 30 || sentences8 < 150 {
		t.Fatalf("%d pages, %d sentences", pages, sentences8)
	}
	got := grade(words8, sentences8, syllables8)
	t.Logf("%d pages, %d sentences of %.1f words, grade %.1f", pages, sentences8, float64(words8)/float64(sentences8), got)
	if got > 8 {
		t.Errorf("grade %.1f", got)
	}
}

// The formula by hand: ten words in one sentence, fifteen syllables.
func TestGradeByHand(t *testing.T) {
	if g := grade(10, 1, 15); g < 6.00 || g > 6.02 { // 3.9 + 17.7 − 15.59 = 6.01
		t.Errorf("%v", g)
	}
	for w, n := range map[string]int{"bee": 1, "hive": 1, "colony": 3, "syrup": 2, "table": 2, "winter": 2} {
		if got := syllables(w); got != n {
			t.Errorf("%s: %d syllables, want %d", w, got, n)
		}
	}
}
