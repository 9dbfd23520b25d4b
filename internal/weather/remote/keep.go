package remote

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"larder/internal/units"
)

// keptAnswer is an answer as it lies in the folder. The body is kept as it came
// and read again each time: what is in the folder is trusted no more than what
// comes over the network.
type keptAnswer struct {
	Answer `json:"-"`

	Fetched time.Time `json:"fetched"`
	Host    string    `json:"host"`
	From    units.Day `json:"from"`
	To      units.Day `json:"to"`
	Today   units.Day `json:"today"`
	Body    string    `json:"body"`
}

func (k *keptAnswer) covers(a Ask) bool { return k.From <= a.From && k.To >= a.To }

// Kept gives the last answer for a place, however old.
func (s Service) Kept(a Ask) (Answer, bool) {
	k, ok := s.kept(a)
	if !ok {
		return Answer{}, false
	}
	return k.Answer, true
}

// file names the answer of one service for one place and station.
func (s Service) file(a Ask) string {
	h := sha256.Sum256(fmt.Appendf(nil, "%s\x00%.2f\x00%.2f\x00%s", s.Template, a.Lat, a.Lon, a.Station))
	return filepath.Join(s.Keep, hex.EncodeToString(h[:12])+".json")
}

// kept reads the last answer; one that is damaged or from the future is none.
func (s Service) kept(a Ask) (*keptAnswer, bool) {
	if s.Keep == "" {
		return nil, false
	}
	raw, err := os.ReadFile(s.file(a))
	if err != nil {
		return nil, false
	}
	var k keptAnswer
	if json.Unmarshal(raw, &k) != nil {
		return nil, false
	}
	age := s.Now().Sub(k.Fetched)
	if age < 0 {
		return nil, false
	}
	a.From, a.To, a.Today = k.From, k.To, k.Today
	f, err := read([]byte(k.Body), a, k.Host)
	if err != nil {
		return nil, false
	}
	k.Answer = Answer{File: f, Fetched: k.Fetched, Age: age, Kept: true, Host: k.Host}
	return &k, true
}

// keep writes the answer. It is a convenience: when the folder cannot be written
// the answer is used all the same, and asked for again next time.
func (s Service) keep(a Ask, now time.Time, host string, body []byte) {
	if s.Keep == "" || os.MkdirAll(s.Keep, 0o700) != nil {
		return
	}
	raw, err := json.Marshal(keptAnswer{Fetched: now, Host: host, From: a.From, To: a.To, Today: a.Today, Body: string(body)})
	if err != nil {
		return
	}
	tmp, err := os.CreateTemp(s.Keep, "answer-*.tmp")
	if err != nil {
		return
	}
	_, err = tmp.Write(raw)
	if e := tmp.Close(); err != nil || e != nil || os.Rename(tmp.Name(), s.file(a)) != nil {
		os.Remove(tmp.Name()) //nolint:errcheck // it is a leftover at worst
	}
}
