package browser

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/piglig/go-qr"

	"larder/tools/storybook/chromium"
)

// film writes what a camera sees when a phone shows these codes one after the
// other: pictures of 640 × 480, a few of each.
func film(t *testing.T, path string, codes []string) {
	t.Helper()
	var out bytes.Buffer
	for _, text := range codes {
		q, err := go_qr.EncodeText(text, go_qr.Medium)
		if err != nil {
			t.Fatal(err)
		}
		img := image.NewGray(image.Rect(0, 0, 640, 480))
		for i := range img.Pix {
			img.Pix[i] = 110 // the table
		}
		n := q.Size() + 8
		dot := 440 / n
		x0, y0 := (640-dot*n)/2, (480-dot*n)/2
		for y := range dot * n {
			for x := range dot * n {
				v := uint8(235)
				if i, j := x/dot-4, y/dot-4; i >= 0 && j >= 0 && i < q.Size() && j < q.Size() && q.Module(i, j) {
					v = 30
				}
				img.SetGray(x0+x, y0+y, color.Gray{Y: v})
			}
		}
		var b bytes.Buffer
		if err := jpeg.Encode(&b, img, nil); err != nil {
			t.Fatal(err)
		}
		for range 12 { // of thirty a second
			out.Write(b.Bytes())
		}
	}
	if err := os.WriteFile(path, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
}

// The desk's camera reads the run of codes off a phone and takes the entries,
// without a further key. The browser here has no reader of codes of its own, so
// the program reads the pictures.
func TestCameraReadsTheCodes(t *testing.T) {
	y := newYard(t)
	trip := y.trip(1)
	hive := trip.Stops[0].Hives[0].Colony
	raw, err := json.Marshal(map[string]any{"larder": 1, "protocol": 1, "device": "d", "name": "Phone", "now": "2015-09-12T10:30:00Z", "entries": []any{map[string]any{
		"id": "0198f2a4-5b6c-7d8e-9f00-112233445566", "seq": 1, "made": "2015-09-12T10:20:00Z", "kind": "given",
		"body": map[string]any{"colony": hive, "feed": "syrup", "volume": "2 L", "plan": trip.On}}}})
	if err != nil {
		t.Fatal(err)
	}
	text := base64.RawURLEncoding.EncodeToString(raw)
	var codes []string
	const piece = 150
	of := (len(text) + piece - 1) / piece
	for i := range of {
		codes = append(codes, fmt.Sprintf("LARDER %d/%d %s", i+1, of, text[i*piece:min((i+1)*piece, len(text))]))
	}
	path := filepath.Join(t.TempDir(), "phone.mjpeg")
	film(t, path, codes)
	ctx, _ := ownBrowser(t, t.TempDir(), chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-file-for-fake-video-capture", path))
	b := &tab{t: t, ctx: ctx, origin: y.srv.URL}
	b.must(chromium.Look(1280, 900, false))
	b.goTo("/phone/file")
	eval[chromedp.Void](b, `document.querySelector("#camera-start").click()`)
	for end := time.Now().Add(patience); len(y.facts()) == y.had && time.Now().Before(end); { // the page goes on by itself: it cannot be asked meanwhile
		time.Sleep(30 * time.Millisecond)
	}
	time.Sleep(100 * time.Millisecond)
	b.wait(`document.body.innerText.includes("1 entries written down")`)
	y.once([]string{hive})
}

// Without a camera the page says what else will do.
func TestNoCameraSaysWhatElse(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.first(`navigator.mediaDevices.getUserMedia = async () => { throw new DOMException("none", "NotFoundError"); }`)
	b.goTo("/phone/file")
	eval[chromedp.Void](b, `document.querySelector("#camera-start").click()`)
	b.wait(`document.querySelector("#camera-says").textContent.startsWith("No camera can be used here: choose pictures")`)
}
