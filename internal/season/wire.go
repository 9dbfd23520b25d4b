package season

import (
	"bytes"
	"encoding/json"

	"larder/internal/fault"
	"larder/internal/units"
)

// wire is the stored form of a fact: JSON, one object, quantities as text in
// the unit they were entered in. Documented in the manual ("The book").
type wire struct {
	ID       ID              `json:"id"`
	Kind     string          `json:"kind"`
	Seen     units.Moment    `json:"seen"`
	Made     units.Moment    `json:"made,omitzero"`
	By       string          `json:"by,omitzero"`
	Replaces ID              `json:"replaces,omitzero"`
	Body     json.RawMessage `json:"body"`
}

// EncodeBody writes the body of a fact as JSON.
func EncodeBody(f *Fact) ([]byte, error) { return json.Marshal(f.Body) }

// DecodeBody reads the body of a fact of the named kind.
func DecodeBody(kindName string, b []byte) (any, error) {
	k := kindByName[kindName]
	if k == nil {
		return nil, fault.Newf(fault.Damaged, kindName, "there is no such kind of fact").
			WithHint("it may come from a newer larder")
	}
	v, err := k.decode(b)
	if err != nil {
		return nil, &fault.Error{Kind: fault.Damaged, Thing: kindName, Say: "this fact cannot be read", Err: err}
	}
	return v, nil
}

// MarshalJSON writes the whole fact.
func (f Fact) MarshalJSON() ([]byte, error) {
	body, err := EncodeBody(&f)
	if err != nil {
		return nil, err
	}
	return json.Marshal(wire{ID: f.ID, Kind: f.Kind(), Seen: f.Seen, Made: f.Made, By: f.By, Replaces: f.Replaces, Body: body})
}

// UnmarshalJSON reads what MarshalJSON writes and checks it.
func (f *Fact) UnmarshalJSON(b []byte) error {
	var w wire
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(&w); err != nil {
		return &fault.Error{Kind: fault.Damaged, Thing: "fact", Say: "this fact cannot be read", Err: err}
	}
	body, err := DecodeBody(w.Kind, w.Body)
	if err != nil {
		return err
	}
	g := Fact{ID: w.ID, Seen: w.Seen, Made: w.Made, By: w.By, Replaces: w.Replaces, Body: body}
	if err := g.Check(); err != nil {
		return err
	}
	*f = g
	return nil
}
