package web

import (
	"bytes"
	"fmt"
	"html/template"
	"net/http"
	"regexp"
	"strconv"
	"strings"
)

// tripFile gives a trip as one file that opens from a phone's own storage, with
// nothing beside it: page, words, style and script. What is logged in it comes
// home as a file or a run of codes. Only this file has its script and style
// inside; it is never shown by us, only saved.
func (s *Server) tripFile(w http.ResponseWriter, p *tripPage) {
	var buf bytes.Buffer
	page := struct {
		*tripPage
		CSS    template.CSS
		Script template.JS
	}{p, template.CSS(s.screens.assets["larder.css"]), template.JS(s.screens.looseScript())}
	if err := s.screens.pages["trip"].ExecuteTemplate(&buf, "loose", page); err != nil {
		s.log.Error("template", "screen", "trip file", "err", err)
		http.Error(w, "This file could not be made. Nothing was changed by this.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Disposition", "attachment; filename=larder-round-"+strconv.Itoa(p.Doc.Load)+".html")
	_, _ = buf.WriteTo(w) // the reader may have gone
}

var (
	importLine = regexp.MustCompile(`(?m)^import (\{[^}]*\}) from "\./(\w+)\.js(?:\?v=\w+)?";\n`)
	exportWord = regexp.MustCompile(`(?m)^export ((?:async )?(?:function|class|const) (\w+))`)
)

// looseScript puts the modules and the trip's script into one, each module in a
// scope of its own, in the order in which they need each other.
func (sc *screens) looseScript() []byte {
	var b bytes.Buffer
	for _, name := range append(offlineModules[:len(offlineModules):len(offlineModules)], "codes.js") {
		text := string(sc.assets[name])
		var out []string
		for _, m := range exportWord.FindAllStringSubmatch(text, -1) {
			out = append(out, m[2])
		}
		text = exportWord.ReplaceAllString(text, "$1")
		fmt.Fprintf(&b, "const module_%s = (() => {\n%s\nreturn { %s };\n})();\n", strings.TrimSuffix(name, ".js"), linkLoose(text), strings.Join(out, ", "))
	}
	b.WriteString("globalThis.larderCodes = module_codes.codes;\n")
	b.WriteString("await (async () => {\n" + linkLoose(string(sc.assets["trip.js"])) + "\n})();\n")
	return b.Bytes()
}

func linkLoose(text string) string {
	return importLine.ReplaceAllString(text, "const $1 = module_$2;\n")
}
