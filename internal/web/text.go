package web

import (
	"embed"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
)

//go:embed text/*.json
var textFiles embed.FS

// Languages are those whose catalogue is complete.
var Languages = []string{"en", "es"}

// texts is the message catalogue. Two kinds of text are in it: messages of the
// screens, by key (text/en.json, text/es.json), and sentences of the core, by
// their English wording (text/sentences.es.json). A missing key is a failing
// test; on the screen it shows as the key in angle brackets.
type texts struct {
	by        map[string]*i18n.Localizer
	sentences map[string]*sentences // by language; none for English
	keys      []string              // of the messages, sorted
}

// loadTexts gives the catalogue, read once.
var loadTexts = sync.OnceValue(readTexts)

func readTexts() *texts {
	t := &texts{by: map[string]*i18n.Localizer{}, sentences: map[string]*sentences{}}
	bundle := i18n.NewBundle(language.English)
	bundle.RegisterUnmarshalFunc("json", json.Unmarshal)
	for _, l := range Languages {
		if _, err := bundle.LoadMessageFileFS(textFiles, "text/"+l+".json"); err != nil {
			panic("web: " + err.Error())
		}
	}
	t.keys = keysOf("text/en.json")
	for _, l := range Languages {
		t.by[l] = i18n.NewLocalizer(bundle, l)
		if b, err := textFiles.ReadFile("text/sentences." + l + ".json"); err == nil {
			m := map[string]string{}
			if err := json.Unmarshal(b, &m); err != nil {
				panic("web: sentences." + l + ".json: " + err.Error())
			}
			t.sentences[l] = newSentences(m)
		}
	}
	return t
}

// message gives the message of a key. args come in pairs, name and value; a
// value called "N" also chooses the plural.
func (t *texts) message(lang, key string, args []any) string {
	l := t.by[lang]
	if l == nil {
		l = t.by["en"]
	}
	data := map[string]any{}
	for i := 0; i+1 < len(args); i += 2 {
		data[fmt.Sprint(args[i])] = args[i+1]
	}
	c := &i18n.LocalizeConfig{MessageID: key, TemplateData: data}
	if n, ok := data["N"]; ok {
		c.PluralCount = n
	}
	s, err := l.Localize(c)
	if err != nil && s == "" {
		return "⟨" + key + "⟩"
	}
	return s
}

// keysOf lists the keys of a catalogue, sorted.
func keysOf(file string) []string {
	b, err := textFiles.ReadFile(file)
	if err != nil {
		panic("web: " + err.Error())
	}
	var m map[string]json.RawMessage
	if err := json.Unmarshal(b, &m); err != nil {
		panic("web: " + file + ": " + err.Error())
	}
	return slices.Sorted(maps.Keys(m))
}

// with lists the keys that begin so.
func (t *texts) with(prefix string) []string {
	var out []string
	for _, k := range t.keys {
		if strings.HasPrefix(k, prefix) {
			out = append(out, k)
		}
	}
	return out
}
