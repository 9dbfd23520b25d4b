package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"net/http"
)

//go:embed offline/*.js
var offlineFiles embed.FS

// offlineModules are the scripts pages import, each after those it imports
// itself: the address of an import carries the hash of what is imported, so that
// a page never runs half of one version and half of another.
var offlineModules = []string{"outbox.js", "idb.js", "fold.js", "panel.js"}

// offlineAssets is what a phone needs to open Round without signal.
var offlineAssets = []string{"larder.css", "shared.js", "round.js", "trip.js", "readings-one.js", "outbox.js", "idb.js", "fold.js", "panel.js"}

// loadOffline makes the modules assets.
func (sc *screens) loadOffline() {
	for _, name := range offlineModules {
		sc.asset(name, sc.linked(offlineFile(name)))
	}
	sc.asset("codes.js", offlineFile("codes.js")) // of the file to carry only
}

func offlineFile(name string) []byte {
	b, err := offlineFiles.ReadFile("offline/" + name)
	if err != nil {
		panic("web: " + err.Error())
	}
	return b
}

// linked puts the hash of our modules into a script's imports.
func (sc *screens) linked(b []byte) []byte {
	for _, name := range offlineModules {
		if h := sc.hash[name]; h != "" {
			b = bytes.ReplaceAll(b, []byte(`"./`+name+`"`), []byte(`"./`+name+`?v=`+h+`"`))
		}
	}
	return b
}

// serviceWorker gives the worker that lets Round open without signal, with the
// list of what it keeps. Its text changes when any of that does.
func (s *Server) serviceWorker(w http.ResponseWriter, _ *http.Request) {
	var files []string
	for _, name := range offlineAssets {
		files = append(files, "/assets/"+name+"?v="+s.screens.hash[name])
	}
	list, err := json.Marshal(files)
	if err != nil {
		panic("web: " + err.Error()) // strings of ours
	}
	b := bytes.Replace(offlineFile("sw.js"), []byte("FILES_HERE"), list, 1)
	sum := sha256.Sum256(b)
	b = bytes.Replace(b, []byte("VERSION_HERE"), []byte(hex.EncodeToString(sum[:6])), 1)
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	_, _ = w.Write(b)
}

// manifest lets a phone put Round on its first screen.
func (s *Server) manifest(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "application/manifest+json")
	_, _ = w.Write([]byte(`{"name":"Larder","short_name":"Larder","start_url":"/round","scope":"/","display":"standalone","background_color":"#ffffff","theme_color":"#ffffff"}`))
}
