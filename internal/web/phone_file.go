package web

import (
	"encoding/base64"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"

	"larder/internal/fault"
)

type phoneFilePage struct {
	Base
	Typed   string
	Run     codeRun       // of what was typed or read so far
	Answers []phoneAnswer // what came of a file
	Stored  int
	Already int
	Looked  bool
}

// phoneFile asks for the file a phone saved, or for what its codes read.
func (s *Server) phoneFile(w http.ResponseWriter, r *http.Request) {
	s.show(w, http.StatusOK, "phonefile", &phoneFilePage{Base: s.base(r, "phonefile", "title.phonefile")})
}

// takePhoneFile takes the entries of a file, of the lines that codes read, or of
// pictures of codes, as if the phone had sent them. Taking them twice is
// harmless; a run of codes may come in several goes.
func (s *Server) takePhoneFile(w http.ResponseWriter, r *http.Request) {
	p := &phoneFilePage{Base: s.base(r, "phonefile", "title.phonefile")}
	in, err := readHandedIn(r)
	p.Typed = in.codes
	for _, bad := range in.bad {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, bad, "pictures"))
	}
	raw, field := in.file, "file"
	if err == nil && len(raw) == 0 {
		raw, field = nil, "codes"
		switch p.Run, err = runOf(in.codes); {
		case err != nil:
		case len(p.Run.Parts) > 0 && len(p.Run.Missing()) == 0:
			raw, err = p.Run.join()
		case p.Run.Plain != "":
			raw = []byte(p.Run.Plain)
		case len(p.Run.Parts) == 0 && len(p.Trouble) == 0:
			field = "file"
			err = fault.New(fault.Missing, "", "no file was chosen").WithHint("choose the file that the phone saved, or pictures of its codes")
		}
	}
	if err == nil && len(raw) > 0 {
		var b phoneBatch
		if b, err = readPhoneFile(raw); err == nil {
			if err = s.takeWhole(r, b, p); err == nil {
				p.Looked, p.Typed, p.Run = true, "", codeRun{}
			}
		}
	}
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, field))
	}
	code := http.StatusOK
	if len(p.Trouble) > 0 {
		code = http.StatusUnprocessableEntity
	}
	s.show(w, code, "phonefile", p)
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

// codeRun is a run of codes as far as it is read: "LARDER 2/5 …" in any order,
// any of them twice.
type codeRun struct {
	Of    int
	Parts map[int]string
	Plain string // the file itself, pasted
}

func runOf(text string) (codeRun, error) {
	run := codeRun{Parts: map[int]string{}}
	if text = strings.TrimSpace(text); strings.HasPrefix(text, "{") {
		run.Plain = text
		return run, nil
	}
	for line := range strings.SplitSeq(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		rest, ok := strings.CutPrefix(line, "LARDER ")
		head, body, cut := strings.Cut(rest, " ")
		a, b, slash := strings.Cut(head, "/")
		n, all := number(a), number(b)
		if !ok || !cut || !slash || n < 1 || n > all || run.Of != 0 && all != run.Of {
			return run, fault.Newf(fault.NotUnderstood, "", "%.30q is not one of the codes", line).WithHint("each begins with LARDER; read them one to a line, all from one phone")
		}
		if old, twice := run.Parts[n]; twice && old != body {
			return run, fault.Newf(fault.Conflict, "", "code %d was read twice and says two things", n).WithHint("entries were logged in between: show all codes anew and read them again")
		}
		run.Of, run.Parts[n] = all, body
	}
	return run, nil
}

// Have gives how many are read.
func (c codeRun) Have() int { return len(c.Parts) }

// Missing lists those not read yet.
func (c codeRun) Missing() []int {
	var out []int
	for n := 1; n <= c.Of; n++ {
		if _, ok := c.Parts[n]; !ok {
			out = append(out, n)
		}
	}
	return out
}

// Lacks is that list in words, "" when nothing lacks.
func (c codeRun) Lacks() string {
	var out []string
	for _, n := range c.Missing() {
		out = append(out, strconv.Itoa(n))
	}
	return strings.Join(out, ", ")
}

func (c codeRun) join() ([]byte, error) {
	var out strings.Builder
	for n := 1; n <= c.Of; n++ {
		out.WriteString(c.Parts[n])
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
