package folder

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"larder/internal/hive"
	"larder/internal/season"
)

const page = "../../manual/season-folder.md"

// The lists in the manual are those of the program.
func TestManual(t *testing.T) {
	raw, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	text := string(raw)
	for name, part := range map[string]string{"settings": settingsManual(), "tables": tablesManual(), "kinds": kindsManual()} {
		from := strings.Index(text, "<!-- "+name+":")
		if from < 0 {
			t.Fatalf("no place for %s in the manual", name)
		}
		from += strings.IndexByte(text[from:], '\n') + 1
		to := from + strings.Index(text[from:], "<!-- end -->")
		text = text[:from] + part + text[to:]
	}
	golden(t, page, text)
}

func settingsManual() string {
	var b strings.Builder
	b.WriteString("\n| key | what | for example |\n|---|---|---|\n")
	for _, k := range season.SettingKeys() {
		fmt.Fprintf(&b, "| `%s` | %s | `%s` |\n", k.Key, bar(k.What), bar(k.Example))
	}
	b.WriteByte('\n')
	return b.String()
}

func tablesManual() string {
	var b strings.Builder
	for _, t := range tables {
		fmt.Fprintf(&b, "\n### %s\n\n%s\n\n| column | holds | what | blank | for example |\n|---|---|---|---|---|\n", t.file(), t.what)
		for _, f := range t.fields {
			switch f.name {
			case "id", "made", "by", "replaces": // the same in every table
				continue
			}
			name := "`" + f.written() + "`"
			blank := bar(f.blank)
			if f.need {
				name += " **must**"
				if !f.dash {
					blank = "asked about"
				}
			}
			if f.rare {
				name = "*" + name + "*"
			}
			example := ""
			if f.example != "" {
				example = "`" + bar(f.example) + "`"
			}
			what := bar(f.what)
			if len(f.also) > 0 && (f.name != "seen" || t.dated) {
				what += "; also called " + strings.Join(f.also, ", ")
			}
			if f.name == "seen" {
				blank = firstOf(blank, "asked about")
				if !t.dated {
					what = "when; see above"
				}
			}
			fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", name, f.sort, what, blank, example)
		}
	}
	b.WriteByte('\n')
	return b.String()
}

func kindsManual() string {
	var b strings.Builder
	b.WriteString("\nBoxes, for `stack` and `frames`:\n\n| box | is | frames |\n|---|---|---|\n")
	for _, k := range hive.Default().Boxes() {
		fmt.Fprintf(&b, "| `%s` | %s | %d |\n", k.Key, k.Name, k.Frames)
	}
	b.WriteString("\nFeeders:\n\n| feeder | is | usual size |\n|---|---|---|\n")
	for _, k := range hive.Default().Feeders() {
		fmt.Fprintf(&b, "| `%s` | %s | %.2f L |\n", k.Key, k.Name, k.Volume.L())
	}
	b.WriteByte('\n')
	return b.String()
}

// bar keeps a bar from ending a cell of a Markdown table.
func bar(s string) string { return strings.ReplaceAll(s, "|", "\\|") }
