package sheet_test

import (
	"image"
	"image/color"
	"net/url"
	"strings"
	"testing"

	qr "github.com/piglig/go-qr"

	"larder/internal/sheet"
	"larder/internal/units"
)

// paint draws the boxes of a code as a camera would see them, so many pixels to
// the millimetre.
func paint(b sheet.Blocks, w float64, scale int) image.Image {
	n := int(w * float64(scale))
	img := image.NewGray(image.Rect(0, 0, n, n))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, box := range b.Boxes {
		for y := int(box.Y*float64(scale) + 0.5); y < int((box.Y+box.H)*float64(scale)+0.5); y++ {
			for x := int(box.X*float64(scale) + 0.5); x < int((box.X+box.W)*float64(scale)+0.5); x++ {
				img.SetGray(x, y, color.Gray{})
			}
		}
	}
	return img
}

// TestCodesReadBack: what is printed is read back to the same address, whatever
// the hive is called.
func TestCodesReadBack(t *testing.T) {
	for _, id := range []string{"m1", "14", "Back row 3", "ñandú", "a/b?c#d%", strings.Repeat("long ", 12)} {
		address := "http://192.168.1.20:8642" + sheet.HivePath(id)
		b, err := sheet.Code(address, 30)
		if err != nil {
			t.Fatal(err)
		}
		got, err := qr.Decode(paint(b, 30, 40))
		if err != nil || got != address {
			t.Errorf("%q reads %q, %v", address, got, err)
		}
		u, err := url.Parse(got)
		if err != nil || u.Path != "/hive/"+id {
			t.Errorf("%q leads to %q", id, u.Path)
		}
	}
	if _, err := sheet.Code(strings.Repeat("x", 5000), 30); err == nil {
		t.Error("5000 letters fit no code")
	}
}

// TestCodesAreLargeEnough: a module of a hive's label is at least 0.4 mm, which
// phones read at arm's length (common practice, no source), and stays within
// its label with four modules of white around it.
func TestCodesAreLargeEnough(t *testing.T) {
	s := source(t, "en", units.US)
	d := one(t)(sheet.HiveLabels(s, "mill"))
	g := d.Parts[0].(sheet.Grid)
	if len(g.Cells) != 11 {
		t.Fatalf("%d labels, want 11", len(g.Cells))
	}
	for _, c := range g.Cells {
		for _, m := range c.Marks {
			b, ok := m.(sheet.Blocks)
			if !ok {
				continue
			}
			if b.Boxes[0].H < 0.4 {
				t.Errorf("module of %.2f mm", b.Boxes[0].H)
			}
			for _, x := range b.Boxes {
				if x.X < 4*b.Boxes[0].H || x.Y < 4*b.Boxes[0].H-1 || x.X+x.W > c.W || x.Y+x.H > c.H {
					t.Fatalf("box %+v leaves the label", x)
				}
			}
		}
	}
}

func TestLabelsSayWhoseTheyAre(t *testing.T) {
	s := source(t, "en", units.US)
	all := text(pages(t, press(t, sheet.Letter, one(t)(sheet.HiveLabels(s, "mill")), one(t)(sheet.YardLabels(s)))))
	for _, want := range []string{"m1\n", "m12\n", "Mill Lane\n", "http://192.168.1.20:8642/hive/m12\n", "Creek", "http://192.168.1.20:8642/yard/creek\n"} {
		if !strings.Contains(all, want) {
			t.Errorf("the labels lack %q", want)
		}
	}
}
