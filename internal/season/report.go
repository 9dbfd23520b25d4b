package season

import (
	"crypto/sha256"
	"encoding/hex"

	"larder/internal/units"
)

// Report is what was found when a whole book was looked through.
type Report struct {
	Facts       int
	Kinds       []KindCount  // in the order of [Kinds], those there are
	First, Last units.Moment // seen
	Digest      string       // of all facts; see [Digest]
	Done        []string     // what was looked at, a sentence each
}

// KindCount is how many facts there are of one kind.
type KindCount struct {
	Kind string
	N    int
}

// Inspect counts facts; they must be in order of truth.
func Inspect(facts []Fact) Report {
	r := Report{Facts: len(facts), Digest: Digest(facts)}
	n := map[string]int{}
	for i := range facts {
		n[facts[i].Kind()]++
	}
	for _, k := range kinds {
		if n[k.name] > 0 {
			r.Kinds = append(r.Kinds, KindCount{k.name, n[k.name]})
		}
	}
	if len(facts) > 0 {
		r.First, r.Last = facts[0].Seen, facts[len(facts)-1].Seen
	}
	return r
}

// Digest gives a hash (SHA-256, hexadecimal) of facts in order of truth. Two
// books with the same facts have the same, whatever their engine. Facts read
// from a book are meant; one that cannot be written down counts by its id.
func Digest(facts []Fact) string {
	h := sha256.New()
	var b []byte
	for i := range facts {
		f := &facts[i]
		body, err := EncodeBody(f)
		if err != nil {
			body = nil
		}
		// When it was not noted when a fact was written down, that counts as
		// when it was seen, as in Same.
		r := Record{ID: f.ID, Kind: f.Kind(), Seen: stampOf(f.Seen), Made: stampOf(f.WrittenAt()), By: f.By, Replaces: f.Replaces, Body: body}
		sum := sha256.Sum256(r.Append(b[:0]))
		h.Write(sum[:])
	}
	return hex.EncodeToString(h.Sum(nil))
}
