package sheet_test

import (
	"encoding/json"
	"os"
	"sync"
	"testing"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"

	"larder/internal/sheet"
	"larder/internal/units"
)

var localizers sync.Map

func localizer(lang string) (*i18n.Localizer, error) {
	if l, ok := localizers.Load(lang); ok {
		return l.(*i18n.Localizer), nil
	}
	b := i18n.NewBundle(language.English)
	b.RegisterUnmarshalFunc("json", json.Unmarshal)
	text, err := os.ReadFile("../web/text/" + lang + ".json")
	if err != nil {
		return nil, err
	}
	if _, err := b.ParseMessageFileBytes(text, lang+".json"); err != nil {
		return nil, err
	}
	l := i18n.NewLocalizer(b, lang)
	localizers.Store(lang, l)
	return l, nil
}

// catalogue reads the words the screens print sheets with. A key that is not
// there fails the test.
func catalogue(t testing.TB, lang string) sheet.Catalogue {
	t.Helper()
	l, err := localizer(lang)
	if err != nil {
		t.Fatal(err)
	}
	return func(key string, args ...any) string {
		data := map[string]any{}
		for i := 0; i+1 < len(args); i += 2 {
			data[args[i].(string)] = args[i+1]
		}
		c := &i18n.LocalizeConfig{MessageID: key, TemplateData: data}
		if n, ok := data["N"]; ok {
			c.PluralCount = n
		}
		s, err := l.Localize(c)
		if err != nil || s == "" {
			t.Errorf("message %s in %s: %v", key, lang, err)
		}
		return s
	}
}

// source makes what sheets are made from, of the example season.
func source(t testing.TB, lang string, system units.System) *sheet.Source {
	t.Helper()
	x := exampleSeason(t)
	s := &sheet.Source{State: x.st, Short: x.plan.Short, Plan: &x.plan, At: x.at, Base: "http://192.168.1.20:8642", T: catalogue(t, lang)}
	s.Style = units.Style{System: system, Decimal: '.', Lang: lang}
	if lang != "en" {
		s.En = catalogue(t, "en")
		s.Style.Decimal = ','
	}
	return s
}
