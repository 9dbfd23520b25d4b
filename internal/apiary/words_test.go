package apiary_test

import (
	"testing"

	"larder/internal/apiary"
	"larder/internal/hive"
)

func TestKindOf(t *testing.T) {
	c := hive.Default()
	for text, want := range map[string]apiary.Kind{
		"nuc5-deep":               apiary.Nuc,
		"nuc5-deep + nuc5-medium": apiary.Nuc,
		"bsn-nuc6 x2":             apiary.Nuc,
		"lang8-deep":              apiary.Full,
		"lang10-deep:5":           apiary.Full, // half filled, but a full-size hive
		"":                        apiary.Full,
	} {
		s, err := c.ParseStack(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := apiary.KindOf(s, c); got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
	if got := apiary.KindOf(hive.Stack{Boxes: []hive.Box{{Kind: "unheard-of"}}}, c); got != apiary.Full {
		t.Error(got)
	}
}

func TestAnswerSays(t *testing.T) {
	for a, want := range map[apiary.Answer]string{apiary.Yes: "yes", apiary.No: "no", apiary.Unknown: "", 9: ""} {
		if a.String() != want {
			t.Errorf("%d says %q", uint8(a), a.String())
		}
	}
}
