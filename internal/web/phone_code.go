package web

import (
	"bufio"
	"bytes"
	"errors"
	"image"
	_ "image/jpeg" // what phones and cameras write
	_ "image/png"
	"io"
	"mime"
	"net/http"
	"strings"

	"github.com/makiuchi-d/gozxing"
	multi "github.com/makiuchi-d/gozxing/multi/qrcode"
	"github.com/makiuchi-d/gozxing/qrcode"

	"larder/internal/fault"
)

// Codes are read off pictures here, at home, and not in the page: so it works in
// every browser, without a script and without a camera too.

// Limits of pictures. A phone's photograph is 3 to 6 MB and 12 to 50 million
// dots.
const (
	maxPictures = 48 << 20 // all of one form
	maxPicture  = 12 << 20
	maxDots     = 64_000_000
	readSide    = 1600 // dots of the longer side at which codes are looked for first
)

// reading lets two pictures be taken apart at a time: each may need 100 MB.
var reading = make(chan struct{}, 2)

// phoneCode reads one picture of the camera: the page sends them one after the
// other. Nothing is written down.
func (s *Server) phoneCode(w http.ResponseWriter, r *http.Request) {
	if t, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || t != "image/jpeg" && t != "image/png" {
		s.phoneSay(w, http.StatusUnsupportedMediaType, phoneReply{Say: "pictures come as image/jpeg or image/png"})
		return
	}
	texts, err := codesOf(r.Body)
	if err != nil {
		s.phoneRefuse(w, err, 0)
		return
	}
	s.phoneSay(w, http.StatusOK, phoneReply{Codes: texts})
}

// codesOf gives the texts of the codes in a picture; none is not an error.
// Faults: fault.NotUnderstood for what is no picture, fault.OutOfRange for one
// too large.
func codesOf(r io.Reader) ([]string, error) {
	noPicture := fault.New(fault.NotUnderstood, "", "this picture cannot be read").WithHint("save it as JPEG or PNG; or save the entries on the phone as a file and choose that")
	raw, err := io.ReadAll(io.LimitReader(r, maxPicture+1))
	var big *http.MaxBytesError
	if len(raw) > maxPicture || errors.As(err, &big) {
		return nil, fault.New(fault.OutOfRange, "", "this picture is too large").WithHint("a picture of one code, up to 12 MB, is enough")
	}
	if err != nil {
		return nil, noPicture
	}
	size, _, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return nil, noPicture
	}
	if size.Width*size.Height > maxDots || size.Width < 1 || size.Height < 1 {
		return nil, fault.New(fault.OutOfRange, "", "this picture is too large").WithHint("a picture of one code, up to 12 MB, is enough")
	}
	reading <- struct{}{}
	defer func() { <-reading }()
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return nil, noPicture
	}
	return readCodes(img), nil
}

// readCodes looks for codes in a picture, first small and then as it is. A code
// that was read is painted over, so that the next one comes to its turn.
func readCodes(img image.Image) []string {
	longer := max(img.Bounds().Dx(), img.Bounds().Dy())
	var out []string
	for step := (longer + readSide - 1) / readSide; len(out) == 0 && step > 0; step /= 2 {
		grey := smaller(img, step)
		for len(out) < mostCodes {
			text, at := readOne(grey)
			if at == nil {
				break
			}
			out = append(out, text)
			paintOver(grey, at)
		}
	}
	return out
}

// mostCodes is how many codes are looked for in one picture.
const mostCodes = 12

// readOne reads one code and tells where it stands: the middles of its corner
// marks. Light and dark are told apart piece by piece, which does for shadows,
// and then over the whole, which does for blur.
func readOne(grey *image.Gray) (string, []gozxing.ResultPoint) {
	light := gozxing.NewLuminanceSourceFromImage(grey)
	for _, split := range []gozxing.Binarizer{gozxing.NewHybridBinarizer(light), gozxing.NewGlobalHistgramBinarizer(light)} {
		bits, err := gozxing.NewBinaryBitmap(split)
		if err != nil {
			continue
		}
		r, err := qrcode.NewQRCodeReader().Decode(bits, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
		if err == nil && len(r.GetResultPoints()) >= 3 {
			return r.GetText(), r.GetResultPoints()
		}
		// The marks of several codes side by side are mixed up by that reader.
		all, err := multi.NewQRCodeMultiReader().DecodeMultiple(bits, nil)
		if err == nil && len(all) > 0 && len(all[0].GetResultPoints()) >= 3 {
			return all[0].GetText(), all[0].GetResultPoints()
		}
	}
	return "", nil
}

// paintOver makes what is about three corner marks white.
func paintOver(grey *image.Gray, at []gozxing.ResultPoint) {
	minX, minY, maxX, maxY := at[0].GetX(), at[0].GetY(), at[0].GetX(), at[0].GetY()
	for _, p := range at[1:3] {
		minX, minY, maxX, maxY = min(minX, p.GetX()), min(minY, p.GetY()), max(maxX, p.GetX()), max(maxY, p.GetY())
	}
	edge := max(maxX-minX, maxY-minY) / 6 // a mark's middle is 3½ modules in, of 21 or more
	for y := max(int(minY-edge), 0); y < min(int(maxY+edge), grey.Rect.Dy()); y++ {
		for x := max(int(minX-edge), 0); x < min(int(maxX+edge), grey.Rect.Dx()); x++ {
			grey.Pix[y*grey.Stride+x] = 255
		}
	}
}

// smaller gives a picture in grey, each of its dots the mean of n × n of img.
func smaller(img image.Image, n int) *image.Gray {
	b := img.Bounds()
	n = max(n, 1)
	out := image.NewGray(image.Rect(0, 0, max(b.Dx()/n, 1), max(b.Dy()/n, 1)))
	grey := greyOf(img)
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			sum := 0
			for k := range n * n {
				sum += int(grey(min(b.Min.X+x*n+k%n, b.Max.X-1), min(b.Min.Y+y*n+k/n, b.Max.Y-1)))
			}
			out.Pix[y*out.Stride+x] = uint8(sum / (n * n))
		}
	}
	return out
}

// greyOf gives how bright a dot is. What cameras write has that as it is.
func greyOf(img image.Image) func(x, y int) uint8 {
	switch p := img.(type) {
	case *image.YCbCr:
		return func(x, y int) uint8 { return p.Y[p.YOffset(x, y)] }
	case *image.Gray:
		return func(x, y int) uint8 { return p.Pix[p.PixOffset(x, y)] }
	}
	return func(x, y int) uint8 {
		r, g, b, a := img.At(x, y).RGBA()
		v := (299*r + 587*g + 114*b) / 1000 // the usual weights of the eye (ITU-R BT.601)
		return uint8((v + 0xffff - a) >> 8) // what is clear is white paper
	}
}

// pictureCodes reads the pictures of a form, adding what they say to the lines
// that were there. A picture without a code is a trouble of the keeper's.
func pictureCodes(p io.Reader, name string, lines *strings.Builder) error {
	texts, err := codesOf(p)
	if err != nil {
		return err
	}
	found := false
	for _, t := range texts {
		if strings.HasPrefix(t, "LARDER ") {
			found = true
			lines.WriteString("\n" + t)
		}
	}
	if !found {
		return fault.Newf(fault.NotUnderstood, name, "no code of ours can be read in %s", clip(name, 60)).WithHint("take it again: the whole code in the picture, sharp, the phone's screen bright and without glare")
	}
	return nil
}

// handedIn is what a form of the page holds.
type handedIn struct {
	file  []byte // what the phone saved
	codes string // lines read off codes, typed or from pictures
	bad   []error
}

// readHandedIn takes the form apart as it comes in, so that many pictures need
// the room of one.
func readHandedIn(r *http.Request) (handedIn, error) {
	var h handedIn
	tooLarge := fault.New(fault.NotUnderstood, "", "this file is too large or cannot be read").WithHint("save the entries on the phone once more")
	parts, err := r.MultipartReader()
	if err != nil { // a form without files
		if err := r.ParseForm(); err != nil {
			return h, tooLarge
		}
		h.codes = r.PostFormValue("codes")
		return h, nil
	}
	var read strings.Builder
	for {
		p, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			h.codes = strings.TrimSpace(h.codes + "\n" + strings.TrimSpace(read.String()))
			return h, nil
		}
		if err != nil {
			return h, tooLarge
		}
		switch p.FormName() {
		case "codes":
			b, err := io.ReadAll(io.LimitReader(p, maxFile))
			if err != nil {
				return h, tooLarge
			}
			h.codes = string(b)
		case "file":
			b, err := io.ReadAll(io.LimitReader(p, maxFile+1))
			if err != nil || len(b) > maxFile {
				return h, tooLarge
			}
			h.file = b
		case "pictures":
			b := bufio.NewReader(p)
			if _, err := b.Peek(1); err != nil { // none was chosen
				continue
			}
			if err := pictureCodes(b, p.FileName(), &read); err != nil {
				h.bad = append(h.bad, err)
			}
		}
	}
}
