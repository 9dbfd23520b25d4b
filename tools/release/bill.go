package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// module is one of others that is built in.
type module struct {
	Path, Version, Dir string
	Licence            string // SPDX
	Text               []byte
}

// modules lists what the program is built from, on all systems.
func modules() ([]module, error) {
	seen := map[string]module{}
	for _, t := range targets {
		cmd := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}} {{.Dir}}{{end}}{{end}}", "./cmd/larder")
		cmd.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+t.os, "GOARCH="+t.arch)
		out, err := cmd.Output()
		if err != nil {
			return nil, fmt.Errorf("go list: %w", err)
		}
		for line := range strings.Lines(string(out)) {
			if f := strings.SplitN(strings.TrimSpace(line), " ", 3); len(f) == 3 {
				seen[f[0]] = module{Path: f[0], Version: f[1], Dir: f[2]}
			}
		}
	}
	var all []module
	for _, m := range seen {
		var err error
		if m.Text, m.Licence, err = licenceOf(m); err != nil {
			return nil, err
		}
		all = append(all, m)
	}
	slices.SortFunc(all, func(a, b module) int { return strings.Compare(a.Path, b.Path) })
	return all, nil
}

// wording tells the licences we take apart by words only they have.
var wording = []struct{ licence, words string }{
	{"Apache-2.0", "Apache License"},
	{"MPL-2.0", "Mozilla Public License"},
	{"BSD-3-Clause", "Neither the name"},
	{"MIT", "Permission is hereby granted, free of charge"},
	{"ISC", "Permission to use, copy, modify, and/or distribute"},
}

// licenceOf reads the licence beside a module's source; one that is not known is
// not released.
func licenceOf(m module) ([]byte, string, error) {
	files, err := filepath.Glob(filepath.Join(m.Dir, "[LCl][IOi][CPc]*"))
	if err != nil || len(files) == 0 {
		return nil, "", fmt.Errorf("%s has no licence text", m.Path)
	}
	raw, err := os.ReadFile(files[0])
	if err != nil {
		return nil, "", err
	}
	flat := strings.Join(strings.Fields(string(raw)), " ")
	for _, w := range wording {
		if strings.Contains(flat, w.words) {
			return raw, w.licence, nil
		}
	}
	return nil, "", fmt.Errorf("the licence of %s is not one of those we take", m.Path)
}

// licences puts the licence texts into one file, as most of them ask.
func licences(mods []module) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("What others wrote and is built into this program, with its licences.\n")
	for _, m := range mods {
		fmt.Fprintf(&b, "\n%s\n%s %s (%s)\n%s\n\n%s\n", strings.Repeat("-", 78), m.Path, m.Version, m.Licence, strings.Repeat("-", 78), m.Text)
	}
	return b.Bytes(), nil
}

// billOfMaterials tells what is built in. Source of the format: CycloneDX 1.6
// (ECMA-424); package URLs: purl-spec, type golang.
func billOfMaterials(version string, when time.Time, mods []module) ([]byte, error) {
	type id struct {
		ID string `json:"id"`
	}
	type licence struct {
		Licence id `json:"license"`
	}
	type component struct {
		Type     string    `json:"type"`
		Ref      string    `json:"bom-ref"`
		Name     string    `json:"name"`
		Version  string    `json:"version"`
		Purl     string    `json:"purl,omitempty"`
		Licences []licence `json:"licenses"`
	}
	type dependency struct {
		Ref string   `json:"ref"`
		On  []string `json:"dependsOn"`
	}
	self := component{"application", "larder", "larder", version, "", []licence{{id{"Apache-2.0"}}}}
	list, needs := []component{}, dependency{Ref: self.Ref}
	for _, m := range mods {
		purl := "pkg:golang/" + strings.ToLower(m.Path) + "@" + m.Version
		list = append(list, component{"library", purl, m.Path, m.Version, purl, []licence{{id{m.Licence}}}})
		needs.On = append(needs.On, purl)
	}
	out := map[string]any{
		"bomFormat": "CycloneDX", "specVersion": "1.6", "version": 1,
		"metadata":     map[string]any{"timestamp": when.Format(time.RFC3339), "component": self},
		"components":   list,
		"dependencies": []dependency{needs},
	}
	raw, err := json.MarshalIndent(out, "", "  ")
	return append(raw, '\n'), err
}
