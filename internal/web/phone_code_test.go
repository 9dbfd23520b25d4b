package web

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	qr "github.com/piglig/go-qr"
)

// view is how a code is photographed: keystone by holding the camera aslant,
// turned by radians, so much darker at the right edge, and noise.
type view struct{ key, turn, shade, noise float64 }

// photo is a picture of codes on a phone's screen, side by side, as a camera in
// the hand takes it: not square on, unevenly lit, noisy.
func photo(t *testing.T, v view, wide, high int, texts ...string) *image.Gray {
	t.Helper()
	var codes []*qr.QrCode
	for _, text := range texts {
		q, err := qr.EncodeText(text, qr.Medium)
		if err != nil {
			t.Fatal(err)
		}
		codes = append(codes, q)
	}
	// paper gives how bright the screen is at u, v; each code takes a square of 1.
	paper := func(u, w float64) float64 {
		i := int(math.Floor(u))
		if w < 0 || w >= 1 || i < 0 || i >= len(codes) {
			return 0.35 // the table behind it
		}
		n := codes[i].Size()
		x, y := int(math.Floor((u-float64(i))*float64(n+8)))-4, int(math.Floor(w*float64(n+8)))-4
		if x >= 0 && y >= 0 && x < n && y < n && codes[i].Module(x, y) {
			return 0.12
		}
		return 0.9
	}
	r := rand.New(rand.NewPCG(3, uint64(len(texts))))
	out := image.NewGray(image.Rect(0, 0, wide, high))
	scale := min(float64(high), float64(wide)/float64(len(codes))) * 0.75
	const fine = 2
	for y := range high {
		for x := range wide {
			sum := 0.0
			for k := range fine * fine {
				px := (float64(x) + float64(k%fine)/fine - float64(wide)/2) / scale
				py := (float64(y) + float64(k/fine)/fine - float64(high)/2) / scale
				a, b := px*math.Cos(v.turn)+py*math.Sin(v.turn), -px*math.Sin(v.turn)+py*math.Cos(v.turn)
				d := 1 + v.key*a + v.key/2*b
				sum += paper(a/d+float64(len(codes))/2, b/d+0.5)
			}
			g := sum/(fine*fine)*(1-v.shade*float64(x)/float64(wide)) + v.noise*r.NormFloat64()
			out.SetGray(x, y, color.Gray{Y: uint8(255 * min(max(g, 0), 1))})
		}
	}
	return out
}

func asJPEG(t *testing.T, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 80}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Codes are read off pictures as a hand takes them.
func TestCodesAreReadOffPictures(t *testing.T) {
	text := "LARDER 3/9 " + strings.Repeat("aZ09-_xy", 33)
	for name, v := range map[string]view{
		"square on": {}, "turned": {turn: 0.5, shade: 0.3, noise: 0.02}, "aslant": {key: 0.12, shade: 0.4, noise: 0.03}, "aslant and turned": {key: 0.06, turn: 0.12, shade: 0.4, noise: 0.03},
	} {
		if got := readCodes(photo(t, v, 640, 540, text)); !slices.Equal(got, []string{text}) {
			t.Errorf("%s: read %q", name, got)
		}
	}
	two := []string{"LARDER 1/2 abc", "LARDER 2/2 def"}
	got := readCodes(photo(t, view{turn: 0.05, noise: 0.02}, 500, 260, two...))
	slices.Sort(got)
	if !slices.Equal(got, two) {
		t.Errorf("two in one picture: %q", got)
	}
	// A big picture is read small first, and as it is if that does not do.
	small := photo(t, view{turn: 0.03, noise: 0.02}, 560, 500, text)
	large := image.NewGray(image.Rect(0, 0, 4*560, 4*500))
	for i := range large.Pix {
		large.Pix[i] = small.Pix[i/large.Stride/4*small.Stride+i%large.Stride/4]
	}
	if got := readCodes(large); !slices.Equal(got, []string{text}) {
		t.Errorf("large: %q", got)
	}
}

// pictures hands a form of the page in.
func (s *site) pictures(codes string, files ...[]byte) *answer {
	s.t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for i, raw := range files {
		f, err := w.CreateFormFile("pictures", fmt.Sprintf("IMG_%d.jpg", i))
		if err != nil {
			s.t.Fatal(err)
		}
		_, _ = f.Write(raw)
	}
	_ = w.WriteField("codes", codes)
	w.Close()
	r := httptest.NewRequest(http.MethodPost, "/phone/file", &body)
	r.Header.Set("Content-Type", w.FormDataContentType())
	return s.do(r)
}

// A run of codes comes home as pictures, in two goes, with one that shows
// nothing; and no picture is too odd to be answered in words.
func TestPicturesOfCodesComeHome(t *testing.T) {
	s := newSmallSite(t)
	raw, err := json.Marshal(batch(entry(1, "2026-09-04T09:30:00Z", "given", gave)))
	if err != nil {
		t.Fatal(err)
	}
	text := base64.RawURLEncoding.EncodeToString(raw)
	var shots [][]byte
	const of = 3
	piece := (len(text) + of - 1) / of
	for i := range of {
		code := fmt.Sprintf("LARDER %d/%d %s", i+1, of, text[i*piece:min((i+1)*piece, len(text))])
		shots = append(shots, asJPEG(t, photo(t, view{key: 0.03, turn: 0.1, shade: 0.2, noise: 0.02}, 360, 300, code)))
	}
	a := s.pictures("", shots[2], asJPEG(t, image.NewGray(image.Rect(0, 0, 300, 300))), shots[0])
	a.has("Codes read: 2 of 3. Still missing: 2.", "IMG_1.jpg")
	if a.Code != http.StatusUnprocessableEntity || len(kept(t, s)) != 0 {
		t.Errorf("%d", a.Code)
	}
	s.pictures(a.field("codes"), shots[1]).has("1 entries written down")
	if n := len(kept(t, s)); n != 1 {
		t.Errorf("%d facts", n)
	}
	var huge bytes.Buffer
	if err := png.Encode(&huge, image.NewPaletted(image.Rect(0, 0, 20000, 4000), color.Palette{color.White})); err != nil {
		t.Fatal(err)
	}
	for name, raw := range map[string][]byte{"text": []byte("hello"), "half": shots[0][:400], "too many dots": huge.Bytes(), "too long": make([]byte, maxPicture+10)} {
		if a := s.pictures("", raw); a.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", name, a.Code)
		}
	}
	// What the camera sends.
	send := func(kind string, raw []byte) (int, phoneReply) {
		r := httptest.NewRequest(http.MethodPost, "/phone/code", bytes.NewReader(raw))
		r.Header.Set("Content-Type", kind)
		a := s.do(r)
		var reply phoneReply
		if err := json.Unmarshal([]byte(a.Body), &reply); err != nil {
			t.Fatalf("%d %q", a.Code, a.Body)
		}
		return a.Code, reply
	}
	if code, a := send("image/jpeg", shots[0]); code != http.StatusOK || len(a.Codes) != 1 || !strings.HasPrefix(a.Codes[0], "LARDER 1/3 ") {
		t.Errorf("%d %v", code, a)
	}
	for _, x := range []struct {
		kind string
		raw  []byte
		want int
	}{{"text/html", shots[0], 415}, {"image/jpeg", nil, 422}, {"image/png", huge.Bytes(), 422}, {"image/jpeg", make([]byte, maxPicture+10), 422}} {
		if code, _ := send(x.kind, x.raw); code != x.want {
			t.Errorf("%s %d bytes: %d, want %d", x.kind, len(x.raw), code, x.want)
		}
	}
}

func FuzzCodesOf(f *testing.F) {
	var b bytes.Buffer
	_ = png.Encode(&b, image.NewGray(image.Rect(0, 0, 30, 30)))
	f.Add(b.Bytes())
	f.Add([]byte("\xff\xd8\xff"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if size, _, err := image.DecodeConfig(bytes.NewReader(raw)); err == nil && size.Width*size.Height > 1<<20 {
			return // large ones only cost time
		}
		_, _ = codesOf(bytes.NewReader(raw)) // must come back
	})
}
