package web

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// luminance and contrast are as WCAG 2.2 defines "relative luminance" and
// "contrast ratio" (W3C, 2023, glossary).
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 32)
	if err != nil || len(colour) != 7 {
		t.Fatalf("%q is not a colour of six digits", colour)
	}
	part := func(shift uint) float64 {
		c := float64(n>>shift&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*part(16) + 0.7152*part(8) + 0.0722*part(0)
}

func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// The colours of text stand out from every ground they stand on by 7 to 1, light
// and dark, frames of fields and buttons too; those of rules by 3 to 1.
func TestColoursStandOut(t *testing.T) {
	if c := contrast(t, "#000000", "#ffffff"); math.Abs(c-21) > 1e-9 { // the greatest there is, by its definition
		t.Fatalf("black on white: %v", c)
	}
	// WCAG's own technique G18 names no table; #767676 is the lightest grey that passes 4.5 on white, #777777 does not (from memory).
	if a, b := contrast(t, "#767676", "#ffffff"), contrast(t, "#777777", "#ffffff"); a < 4.5 || b >= 4.5 {
		t.Fatalf("the border of 4.5 lies elsewhere: %v %v", a, b)
	}
	raw, err := os.ReadFile("screen/shared/page.css")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile(`(?s)--ground:.*?\}`).FindAllString(string(raw), -1)
	if len(blocks) != 3 { // light, dark by the device, dark by choice
		t.Fatalf("%d tables of colours", len(blocks))
	}
	token := regexp.MustCompile(`--(\w+): (#[0-9a-f]{6})`)
	for i, b := range blocks {
		c := map[string]string{}
		for _, m := range token.FindAllStringSubmatch(b, -1) {
			c[m[1]] = m[2]
		}
		for _, x := range []struct {
			text, ground string
			least        float64
		}{
			{"ink", "ground", 7}, {"ink", "sheet", 7}, {"ink", "faint", 7},
			{"soft", "ground", 7}, {"soft", "sheet", 7}, {"soft", "faint", 7},
			{"accent", "ground", 7}, {"accent", "sheet", 7}, {"accent", "faint", 7},
			{"lack", "ground", 7}, {"lack", "sheet", 7},
			{"rule", "ground", 3}, {"rule", "sheet", 3}, {"focus", "ground", 3}, {"focus", "sheet", 3},
		} {
			if got := contrast(t, c[x.text], c[x.ground]); got < x.least {
				t.Errorf("table %d: %s on %s: %.2f to 1, wanted %v", i+1, x.text, x.ground, got, x.least)
			}
		}
	}
	if got := contrast(t, "#111111", "#ffffff"); got < 15 { // the round's two colours: TestRoundLook finds no other
		t.Errorf("the round: %.2f", got)
	}
}
