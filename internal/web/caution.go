package web

import "strings"

// Caution is a safety line: in another language the English stands beneath it
// until a speaker of the trade has read the translation.
type Caution struct{ Word, Say, English string }

// Caution gives the safety line of a key, for the partial of that name.
func (b *Base) Caution(key string) Caution {
	c := Caution{Word: b.T("caution"), Say: b.T(key)}
	if b.Lang != "en" && b.Lang != "" {
		c.English = b.sc.texts.message("en", key, nil)
	}
	return c
}

// Cautions gives all safety lines in English by what comes after "caution." in
// their key.
func Cautions() map[string]string {
	texts, out := loadTexts(), map[string]string{}
	for _, k := range texts.with("caution.") {
		out[strings.TrimPrefix(k, "caution.")] = texts.message("en", k, nil)
	}
	return out
}
