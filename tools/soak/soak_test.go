//go:build linux

package main

import (
	"os"
	"testing"
	"time"
)

func TestMain(m *testing.M) {
	if file := os.Getenv(childEnv); file != "" {
		os.Exit(child(file))
	}
	os.Exit(m.Run())
}

// The short form of the soak: each trouble comes at least once, and nothing that
// was acknowledged is lost. Memory is for the long one to judge: what a program
// warms up to takes longer than this.
func TestShortSoak(t *testing.T) {
	for _, engine := range []string{"sqlite", "postgres"} {
		t.Run(engine, func(t *testing.T) {
			s := Soak{For: 12 * time.Second, Engine: engine, Phones: 4, Desks: 2, Seed: 3, Tell: func(line string) { t.Log(line) }}
			r, err := s.Run(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			t.Log(r)
			r.RSSFrom, r.RSSTo, r.FilesFrom, r.FilesTo = 0, 0, 0, 0
			if err := r.Trouble(); err != nil {
				t.Error(err)
			}
			if r.Kills == 0 || r.Clocks == 0 || r.Full+r.Shot == 0 {
				t.Errorf("a trouble did not come: %+v", r)
			}
		})
	}
}
