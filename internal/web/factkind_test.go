package web

import (
	"slices"
	"strings"
	"testing"

	"larder/internal/season"
)

// Every kind of fact that House counts has its word, in each language.
func TestEveryKindOfFactHasItsWord(t *testing.T) {
	for _, lang := range []string{"en", "es"} {
		keys := keysOf("text/" + lang + ".json")
		for _, kind := range season.Kinds() {
			if !slices.Contains(keys, "factkind."+kind) {
				t.Errorf("%s: %s has no word", lang, kind)
			}
		}
	}
}

// One hive is worth a heft, two are.
func TestWatchCountsInWords(t *testing.T) {
	for lang, want := range map[string][2]string{"en": {"1 is worth a heft", "2 are worth a heft"}, "es": {"1 merece pesarse", "2 merecen pesarse"}} {
		for n, says := range want {
			if got := readTexts().message(lang, "watch.lead", []any{"All", 31, "N", n + 1, "Alarm", 0}); !strings.Contains(got, says) || !strings.HasPrefix(got, "31 ") {
				t.Errorf("%q lacks %q", got, says)
			}
		}
	}
}
