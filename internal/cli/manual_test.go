package cli

import (
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"

	"larder/internal/fault"
	"larder/internal/web"
	"larder/manual"
)

// parserFor makes the parser of the command line, to read without running.
func parserFor(t *testing.T) *kong.Kong {
	t.Helper()
	var c struct {
		common
		verbs
	}
	p, err := kong.New(&c, kong.Name("larder"), kong.Exit(func(int) {}))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

var (
	inlineCode = regexp.MustCompile("`([^`\n]+)`")
	flagInCode = regexp.MustCompile(`(?:^|[\s\['(])--([a-z][a-z-]*)`)
	codeBlock  = regexp.MustCompile("(?ms)^```(?:text|sh)\n(.*?)^```$")
	indented   = regexp.MustCompile(`(?m)^ {4}(larder .*)$`)
	inPipe     = regexp.MustCompile(`larder [^|&;)\n]+`)
	heading    = regexp.MustCompile(`(?m)^#{1,4} (.*)$`)
)

// flagsOf lists the flags of a command with those of all commands.
func flagsOf(p *kong.Kong, n *kong.Node) map[string]bool {
	out := map[string]bool{"help": true}
	for _, m := range []*kong.Node{p.Model.Node, n, n.DefaultCmd} {
		for ; m != nil; m = m.Parent {
			for _, f := range m.Flags {
				out[f.Name] = true
			}
		}
	}
	return out
}

// commandOf gives the command that words name, as far as they do.
func commandOf(p *kong.Kong, words []string) (*kong.Node, int) {
	n, used := p.Model.Node, 0
	for _, w := range words {
		i := slices.IndexFunc(n.Children, func(c *kong.Node) bool { return c.Type == kong.CommandNode && c.Name == w })
		if i < 0 {
			break
		}
		n, used = n.Children[i], used+1
	}
	return n, used
}

// understood tells what is wrong with a line as the manual names it: the command,
// and its flags. Words that stand for others (DIR, FILE) and alternatives
// (tank|hose) are looked at as they are.
func understood(p *kong.Kong, line string) []string {
	words := strings.Fields(line)[1:]
	if len(words) == 0 || strings.HasPrefix(words[0], "--") || words[0] == strings.ToUpper(words[0]) {
		return flagsUnknown(p, p.Model.Node, line)
	}
	var out []string
	last := words[0]
	for i, w := range words[:min(2, len(words))] {
		if strings.Contains(w, "|") && !strings.HasPrefix(w, "-") {
			for alt := range strings.SplitSeq(w, "|") {
				if _, used := commandOf(p, append(slices.Clone(words[:i]), alt)); used != i+1 && alt != strings.ToUpper(alt) && !strings.Contains(alt, ".") {
					out = append(out, fmt.Sprintf("%q: there is no %s", line, alt))
				}
			}
			return out
		}
	}
	n, used := commandOf(p, words)
	if used == 0 {
		return []string{fmt.Sprintf("%q: there is no command %s", line, last)}
	}
	return append(out, flagsUnknown(p, n, line)...)
}

func flagsUnknown(p *kong.Kong, n *kong.Node, line string) []string {
	var out []string
	have := flagsOf(p, n)
	line, rest, _ := strings.Cut(line, " -- ") // what comes after it is handed on to another command
	for _, m := range flagInCode.FindAllStringSubmatch(rest, -1) {
		if !anyFlag(p, m[1]) {
			out = append(out, fmt.Sprintf("%q: no command has a flag --%s", rest, m[1]))
		}
	}
	for _, m := range flagInCode.FindAllStringSubmatch(line, -1) {
		if !have[m[1]] && !(n == p.Model.Node && anyFlag(p, m[1])) {
			out = append(out, fmt.Sprintf("%q: %s has no flag --%s", line, n.Path(), m[1]))
		}
	}
	return out
}

// anyFlag tells whether any command has a flag.
func anyFlag(p *kong.Kong, name string) bool {
	found := false
	_ = kong.Visit(p.Model, func(n kong.Visitable, next kong.Next) error {
		if f, ok := n.(*kong.Flag); ok && f.Name == name {
			found = true
		}
		return next(nil)
	})
	return found
}

// TestManualIsUnderstood reads every command in the manual, in code, in blocks and
// in the run of a sentence: it must exist, with its flags. Blocks of text, which are
// not run, are parsed whole where nothing in them stands for something else.
func TestManualIsUnderstood(t *testing.T) {
	p := parserFor(t)
	files, err := fs.Glob(manual.Pages, "*.md")
	if err != nil {
		t.Fatal(err)
	}
	lines, flags, whole := 0, 0, 0
	for _, f := range files {
		b, err := manual.Pages.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		src := string(b)
		bad := func(l []string) {
			for _, x := range l {
				t.Errorf("%s: %s", f, x)
			}
		}
		for _, m := range codeBlock.FindAllStringSubmatch(src, -1) {
			for _, line := range inPipe.FindAllString(m[1], -1) {
				lines++
				bad(understood(p, line))
				words, ok := split(line)
				if !ok {
					continue // something in it is filled in by a shell
				}
				whole++
				if _, err := parserFor(t).Parse(words[1:]); err != nil {
					t.Errorf("%s: %q is not understood: %v", f, line, err)
				}
			}
		}
		for _, m := range indented.FindAllStringSubmatch(src, -1) {
			lines++
			line, _, _ := strings.Cut(m[1], "   ") // what it does stands beside it
			bad(understood(p, strings.TrimSpace(line)))
		}
		// In running text flags stand alone: they belong to the commands that the
		// heading above names, if it names any.
		at := []*kong.Node{}
		text := codeBlock.ReplaceAllString(src, "")
		for line := range strings.Lines(text) {
			if h := heading.FindStringSubmatch(strings.TrimRight(line, "\n")); h != nil {
				at = nil
				for _, c := range inlineCode.FindAllStringSubmatch(h[1], -1) {
					if n, used := commandOf(p, strings.Fields(c[1])[1:]); strings.HasPrefix(c[1], "larder ") && used > 0 {
						at = append(at, n)
					}
				}
			}
			for _, c := range inlineCode.FindAllStringSubmatch(line, -1) {
				if strings.HasPrefix(c[1], "larder ") && c[1] != "larder fact" { // that one is what ids are made from
					lines++
					bad(understood(p, c[1]))
					if n, used := commandOf(p, strings.Fields(c[1])[1:]); used > 0 {
						at = append(at, n)
					}
					continue
				}
				for _, m := range flagInCode.FindAllStringSubmatch(c[1], -1) {
					flags++
					known := anyFlag(p, m[1])
					if len(at) > 0 {
						known = slices.ContainsFunc(at, func(n *kong.Node) bool { return flagsOf(p, n)[m[1]] || anyBelow(n, m[1]) })
					}
					if !known {
						t.Errorf("%s: no command told of there has a flag --%s: %s", f, m[1], c[1])
					}
				}
			}
		}
	}
	if lines < 60 || flags < 60 || whole < 30 {
		t.Errorf("only %d commands, %d flags and %d whole lines were seen", lines, flags, whole)
	}
}

func anyBelow(n *kong.Node, flag string) bool {
	return slices.ContainsFunc(n.Children, func(c *kong.Node) bool {
		return slices.ContainsFunc(c.Flags, func(f *kong.Flag) bool { return f.Name == flag }) || anyBelow(c, flag)
	})
}

// split takes a line apart as a shell does; ok is false where a shell would put
// something in.
func split(line string) (words []string, ok bool) {
	var w strings.Builder
	quote, in := rune(0), false
	for _, r := range line {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote != 0:
			w.WriteRune(r)
		case r == '\'':
			quote, in = r, true
		case r == '"' || r == '$' || r == '@':
			return nil, false
		case r == ' ' || r == '\n':
			if in {
				words = append(words, w.String())
				w.Reset()
			}
			in = false
		default:
			w.WriteRune(r)
			in = true
		}
	}
	if in {
		words = append(words, w.String())
	}
	return words, quote == 0
}

// TestManualTestFinds makes sure that the test above can fail.
func TestManualTestFinds(t *testing.T) {
	p := parserFor(t)
	for line, want := range map[string]string{
		"larder fly":                        "no command fly",
		"larder mix --wings 2":              "no flag --wings",
		"larder rig tank|boat":              "no boat",
		"larder winter --from DIR --seed N": "",
		"larder --help":                     "",
		"larder export DIR|FILE.xlsx":       "",
		"larder phones revoke NAME":         "",
	} {
		got := strings.Join(understood(p, line), "\n")
		if want == "" && got != "" || !strings.Contains(got, want) {
			t.Errorf("%q: %q, want %q", line, got, want)
		}
	}
}

// TestErrorsHaveTheirNumber: what goes wrong on the command line says its number,
// and the manual command explains each.
func TestErrorsHaveTheirNumber(t *testing.T) {
	for _, k := range fault.Kinds() {
		var out, errs strings.Builder
		one(&errs, fault.New(k, "", "it went wrong"))
		if !strings.HasSuffix(strings.TrimSpace(errs.String()), "("+k.Number()+")") {
			t.Errorf("%s says %q", k, errs.String())
		}
		for _, typed := range []string{k.Number(), strings.ToLower(k.Number())} {
			out.Reset()
			if code := Main([]string{"manual", typed}, World{Out: &out, Err: &errs, Env: func(string) string { return "" }}); code != 0 || !strings.HasPrefix(out.String(), k.Number()+" ") {
				t.Errorf("larder manual %s: %d, %q", typed, code, out.String())
			}
		}
	}
	if n := len(web.Handbook().Page("errors").Chapters()); n != len(fault.Kinds()) {
		t.Errorf("%d entries for %d kinds", n, len(fault.Kinds()))
	}
}
