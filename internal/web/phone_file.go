package web

import (
	"encoding/base64"
	"encoding/json"
	"io"
	"net/http"
	"strings"

	"larder/internal/fault"
)

type phoneFilePage struct {
	Base
	Typed   string
	Answers []phoneAnswer // what came of a file
	Stored  int
	Already int
	Looked  bool
}

// phoneFile asks for the file a phone saved, or for what its codes read.
func (s *Server) phoneFile(w http.ResponseWriter, r *http.Request) {
	s.show(w, http.StatusOK, "phonefile", &phoneFilePage{Base: s.base(r, "phonefile", "title.phonefile")})
}

// takePhoneFile takes the entries of a file, as if the phone had sent them.
// Taking a file twice is harmless.
func (s *Server) takePhoneFile(w http.ResponseWriter, r *http.Request) {
	p := &phoneFilePage{Base: s.base(r, "phonefile", "title.phonefile")}
	raw, err := phoneFileOf(r)
	p.Typed = r.PostFormValue("codes")
	var b phoneBatch
	if err == nil {
		if b, err = readPhoneFile(raw); err == nil {
			err = s.takeWhole(r, b, p)
		}
	}
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "file"))
		s.show(w, http.StatusUnprocessableEntity, "phonefile", p)
		return
	}
	p.Looked = true
	s.show(w, http.StatusOK, "phonefile", p)
}

// takeWhole takes a batch of any size in pieces. The clock of a file cannot be
// set against ours: its times stand.
func (s *Server) takeWhole(r *http.Request, b phoneBatch, p *phoneFilePage) error {
	for from := 0; from < len(b.Entries); from += maxBatch {
		part := b
		part.Entries = b.Entries[from:min(from+maxBatch, len(b.Entries))]
		answers, err := s.takeEntries(r.Context(), part, 0, p.Lang)
		if err != nil {
			return err
		}
		for _, a := range answers {
			switch a.Is {
			case entryStored:
				p.Stored++
			case entryAlready:
				p.Already++
			default:
				p.Answers = append(p.Answers, a)
			}
		}
	}
	return nil
}

// phoneFileOf gives what was handed in: a file, or lines read off codes.
func phoneFileOf(r *http.Request) ([]byte, error) {
	if err := r.ParseMultipartForm(maxFile); err != nil {
		return nil, fault.New(fault.NotUnderstood, "", "this file is too large or cannot be read").WithHint("save the entries on the phone once more")
	}
	if f, _, err := r.FormFile("file"); err == nil {
		defer f.Close()
		raw, err := io.ReadAll(f)
		if err != nil {
			return nil, fault.New(fault.NotUnderstood, "", "this file cannot be read")
		}
		if len(raw) > 0 {
			return raw, nil
		}
	}
	if codes := strings.TrimSpace(r.PostFormValue("codes")); codes != "" {
		return joinCodes(codes)
	}
	return nil, fault.New(fault.Missing, "", "no file was chosen").WithHint("choose the file that the phone saved, or read its codes into the box")
}

// joinCodes puts the texts of a run of codes together: "LARDER 2/5 …", in any
// order, any of them twice.
func joinCodes(text string) ([]byte, error) {
	if strings.HasPrefix(text, "{") {
		return []byte(text), nil
	}
	parts := map[int]string{}
	of := 0
	for line := range strings.SplitSeq(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		rest, ok := strings.CutPrefix(line, "LARDER ")
		head, body, cut := strings.Cut(rest, " ")
		a, b, slash := strings.Cut(head, "/")
		n, all := number(a), number(b)
		if !ok || !cut || !slash || n < 1 || n > all || of != 0 && all != of {
			return nil, fault.Newf(fault.NotUnderstood, "", "%.30q is not one of the codes", line).WithHint("each begins with LARDER; read them one to a line")
		}
		of, parts[n] = all, body
	}
	var out strings.Builder
	for n := 1; n <= of; n++ {
		p, ok := parts[n]
		if !ok {
			return nil, fault.Newf(fault.Missing, "", "code %d of %d is missing", n, of).WithHint("read it too; the order does not matter")
		}
		out.WriteString(p)
	}
	raw, err := base64.RawURLEncoding.DecodeString(out.String())
	if err != nil {
		return nil, &fault.Error{Kind: fault.NotUnderstood, Say: "a code was not read right", Hint: "read them once more", Err: err}
	}
	return raw, nil
}

func number(s string) int {
	n := 0
	for _, c := range s {
		if c < '0' || c > '9' || n > 9999 {
			return 0
		}
		n = n*10 + int(c-'0')
	}
	return n
}

// readPhoneFile reads what a phone wrote.
func readPhoneFile(raw []byte) (phoneBatch, error) {
	var b phoneBatch
	if err := json.Unmarshal(raw, &b); err != nil {
		return b, &fault.Error{Kind: fault.NotUnderstood, Say: "this is not a file of entries from a phone", Hint: "it is called larder-entries and ends in .json", Err: err}
	}
	if b.Protocol != phoneProtocol && b.Protocol != phoneProtocol-1 {
		return b, fault.New(fault.NotUnderstood, "", "this file is of another version of the program").WithHint("keep it: a newer version may read it")
	}
	if len(b.Entries) == 0 {
		return b, fault.New(fault.Missing, "", "there are no entries in this file")
	}
	return b, nil
}
