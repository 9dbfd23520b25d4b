package browser

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"larder/tools/storybook/chromium"
)

// A person's pace, to reckon with: nothing here waits.
const (
	perKey      = 250 * time.Millisecond
	perDecision = 2 * time.Second
)

// typist counts what a person would have to do.
type typist struct {
	*tab
	keys, decisions int
	from            time.Time
}

func newTypist(b *tab) *typist { return &typist{tab: b, from: time.Now()} }

// key presses keys.
func (p *typist) key(keys string) {
	p.t.Helper()
	p.keys += len([]rune(keys))
	p.must(chromedp.KeyEvent(keys))
}

// in goes to a field, takes out what is there, and types.
func (p *typist) in(selector, text string) {
	p.t.Helper()
	p.decisions++
	eval[struct{}](p.tab, fmt.Sprintf("(() => { const e = document.querySelector(%q); e.focus(); e.select(); })()", selector))
	p.key(text)
}

// tick ticks a box or a choice.
func (p *typist) tick(selector string) {
	p.t.Helper()
	p.decisions++
	p.must(chromedp.Click(chromedp.CSS(selector)))
}

// goOn presses a button or a link and wants the page with this heading.
func (p *typist) goOn(selector, heading string) {
	p.t.Helper()
	p.decisions++
	r := p.press(selector)
	if got := p.text("h1"); r.Status != http.StatusOK || !strings.Contains(got, heading) {
		p.t.Fatalf("%s leads to %q (%d), want %q: %s", selector, got, r.Status, heading, p.text(".trouble"))
	}
}

// pace is how long a person would have taken: the keys, the decisions and the
// time the pages took.
func (p *typist) pace(most time.Duration) {
	p.t.Helper()
	took := time.Duration(p.keys)*perKey + time.Duration(p.decisions)*perDecision
	p.t.Logf("%d keys and %d decisions are %v; the pages took %v here", p.keys, p.decisions, took, time.Since(p.from).Round(time.Second))
	if took > most {
		p.t.Errorf("a person would take %v, at most %v is wanted", took, most)
	}
}

// TestFirstRun goes from an empty book to a printed plan: 42 hives in two yards,
// within two minutes at a person's pace, with at most twelve fields.
func TestFirstRun(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "empty")
	b.must(chromium.Look(1280, 900, false))
	p := newTypist(b)
	b.goTo("/")
	if got := eval[string](b, "location.pathname"); got != "/start" {
		t.Fatalf("an empty book leads to %s", got)
	}
	fields := `[...document.querySelectorAll("main form :is(input:not([type=hidden], [type=radio]), select, textarea, fieldset:has([type=radio]))")].filter((e) => e.checkVisibility()).length`
	count := eval[int](b, fields)

	p.in("#place", "Albany, NY")
	p.goOn("form[action='/start'] .main", "hives")
	count += eval[int](b, fields)
	if w := b.text(".came"); !strings.Contains(w, "January in Albany") {
		t.Errorf("the winter does not say where it is from: %q", w)
	}
	p.in("#yards", "Home 24\nMill 18")
	p.goOn("form[action='/start/hives'] .main", "weigh")
	if n := eval[int](b, "document.querySelectorAll('table.tell tbody tr').length"); n != 2 {
		t.Fatalf("%d yards to tell of, want 2", n)
	}
	count += eval[int](b, fields) - 3 // one line of three fields for each yard: the second is the same question
	for _, y := range []string{"home", "mill"} {
		p.in(fmt.Sprintf("[name='weight.%s']", y), map[string]string{"home": "105", "mill": "118"}[y])
		p.in(fmt.Sprintf("[name='bees.%s']", y), "10")
		p.tick(fmt.Sprintf("[name='safe.%s']", y))
	}
	p.goOn("form[action='/start/weigh'] .main", "Feed")
	count += eval[int](b, fields)
	p.goOn("form[action='/start/feed'] .main", "")
	said := b.text("main")
	for _, want := range []string{"42 of 42 colonies", "of sugar", "load"} {
		if !strings.Contains(said, want) {
			t.Errorf("the plan does not say %q: %s", want, said)
		}
	}
	p.goOn("a.main[href^='/sheets']", "Sheets")
	b.must(chromedp.Navigate(b.origin + eval[string](b, "document.querySelector('.all a.main').getAttribute('href')")))
	p.decisions++
	paper := eval[string](b, "document.body.innerText")
	for _, want := range []string{"Home", "1", "sugar"} {
		if !strings.Contains(paper, want) {
			t.Errorf("the paper does not say %q", want)
		}
	}
	if n := eval[int](b, "document.querySelectorAll('section.sheet').length"); n < 2 {
		t.Errorf("%d pages of paper", n)
	}
	p.pace(2 * time.Minute)
	if count > 12 {
		t.Errorf("%d fields are asked for in all, at most 12 are wanted", count)
	}
	t.Logf("%d fields", count)
	b.quiet(200, "first run")
}

// TestFirstRunGoesBackWithoutLoss goes back through the steps and finds what was
// typed.
func TestFirstRunGoesBackWithoutLoss(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "empty")
	b.must(chromium.Look(390, 800, false))
	p := newTypist(b)
	b.goTo("/start")
	p.in("#place", "Albany, NY")
	p.goOn("form[action='/start'] .main", "hives")
	p.in("#yards", "Home 5")
	p.goOn("form[action='/start/hives'] .main", "weigh")
	b.press("a[href='/start/hives']")
	if got := eval[string](b, "document.querySelector('#yards').value"); !strings.HasPrefix(got, "Home 5") {
		t.Errorf("going back, the yards are %q", got)
	}
	b.press("form[action='/start/hives'] a.button[href^='/start?']")
	if got := eval[string](b, "document.querySelector('#place').value"); got == "" {
		t.Error("going back, the place is gone")
	}
	b.quiet(200, "going back")
}

// weightAt is what the sixty hives weigh in lb, as the season's own readings.
func weightAt(k int) string { return fmt.Sprintf("%.0f", float64(40+(k*7)%23)/0.45359237) }

// TestSixtyReadingsByKeyboard types sixty hefts without a pointer: into the
// sheet, down with Enter, saved; within two minutes at a person's pace.
func TestSixtyReadingsByKeyboard(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "sixty")
	b.must(chromium.Look(1280, 900, false))
	b.goTo("/readings")
	p := newTypist(b)
	n := eval[int](b, "document.querySelectorAll('tr[data-row]').length")
	if n != 60 {
		t.Fatalf("%d rows on the sheet, want 60", n)
	}
	for stops := 0; eval[string](b, "document.activeElement.id") != "first-0"; stops++ {
		if stops > 60 {
			t.Fatal("the sheet is not reached by Tab")
		}
		b.must(chromedp.KeyEvent(kb.Tab)) // not counted: the eyes are on the sheet by then
	}
	p.decisions++
	for k := range n {
		if id := eval[string](b, "document.activeElement.id"); id != fmt.Sprintf("first-%d", k) {
			t.Fatalf("at hive %d the focus is on %q", k, id)
		}
		switch k {
		case 17:
			p.key("-") // not read
		case 30:
			p.key("415") // a slip of the fingers, seen at once and put right
			p.key(kb.Escape)
			p.key(weightAt(k))
		default:
			p.key(weightAt(k))
		}
		if k < n-1 {
			p.key(kb.Enter)
		}
	}
	// What it makes of a row stands beside it.
	says := eval[string](b, `new Promise((done) => { let n = 0; const look = () => {
		const s = document.querySelector("#says-3 .say").textContent; s || ++n > 400 ? done(s) : setTimeout(look, 25); }; look(); })`)
	if !strings.Contains(says, "stores") {
		t.Errorf("beside hive 4 stands %q", says)
	}
	for stops := 0; !eval[bool](b, `document.activeElement.matches("#sheet button.main")`); stops++ {
		if stops > 12 {
			t.Fatal("Save is not reached by Tab from the last hive")
		}
		p.key(kb.Tab)
	}
	p.decisions++
	p.keys++
	r, err := chromedp.RunResponse(b.ctx, chromedp.KeyEvent(kb.Enter))
	if err != nil {
		t.Fatal(err)
	}
	b.probe()
	if r.Status != http.StatusOK || !strings.Contains(b.text(".status"), "Undo") {
		t.Fatalf("not saved (%d): %s", r.Status, b.text("#trouble"))
	}
	if !eval[bool](b, `document.querySelector(".status").textContent.includes("59")`) {
		t.Errorf("the status says %q, want 59 readings", b.text(".status"))
	}
	p.pace(2 * time.Minute)
	b.press(`form[action="/undo"] button`)
	if !b.has("Undone.") {
		t.Error("not undone")
	}
	b.quiet(200, "sixty readings")
}

// pasteTable is sixty rows as a spreadsheet hands them over, three of them bad.
func pasteTable() string {
	var s strings.Builder
	s.WriteString("Hive\tDate\tWeight lb\r\n")
	for k := range 60 {
		w := weightAt(k)
		switch k {
		case 7:
			w = "heavy-ish"
		case 23:
			w = "-12"
		case 41:
			w = "1,05,0"
		}
		fmt.Fprintf(&s, "%d-%d\t2015-09-12\t%s\r\n", k/15+1, k%15+1, w)
	}
	return s.String()
}

// TestPasteWithThreeBadCells pastes sixty rows, sees which are bad before
// anything is kept, keeps the other 57 as one act, and takes them all back.
func TestPasteWithThreeBadCells(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "sixty")
	b.must(chromium.Look(1280, 900, false))
	b.goTo("/readings")
	p := newTypist(b)
	p.goOn(`a[href="/readings/paste"]`, "Paste")
	p.decisions++
	eval[struct{}](b, fmt.Sprintf("document.getElementById('text').value = %q", pasteTable()))
	p.keys += 2 // Ctrl+V
	p.goOn("#paste .main", "Paste")
	if got := b.text("#will"); !strings.Contains(got, "57") {
		t.Errorf("before saving it says %q, want 57", got)
	}
	if n := eval[int](b, "document.querySelectorAll('details[open] li').length"); n != 3 {
		t.Errorf("%d bad rows are listed, want 3", n)
	}
	for _, hive := range []string{"1-8", "2-9", "3-12"} {
		if !strings.Contains(b.text("details[open]"), hive) {
			t.Errorf("the bad row of hive %s is not listed", hive)
		}
	}
	p.decisions++
	b.press("#save")
	if got := b.text("main"); !strings.Contains(got, "57") || !strings.Contains(got, "1-8") {
		t.Errorf("after saving: %s", got)
	}
	p.pace(15 * time.Second)
	b.press(`form[action="/undo"] button`)
	if !b.has("Undone.") {
		t.Error("not undone")
	}
	b.quiet(200, "paste")
}

// TestBadCellsOfASheetAreMarked saves a sheet with a bad cell: it is marked, all
// that was typed is still there, and the good ones are saved at once.
func TestBadCellsOfASheetAreMarked(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "sixty")
	b.must(chromium.Look(390, 800, false), chromium.Scripts(false))
	b.goTo("/readings?yard=y01")
	for k, w := range []string{weightAt(0), "heavy-ish", weightAt(2), "-3"} {
		b.must(chromedp.SendKeys(chromedp.CSS(fmt.Sprintf("#first-%d", k)), w))
	}
	if r := b.press("#sheet button.main"); r.Status != http.StatusUnprocessableEntity {
		t.Fatalf("a sheet with bad cells answers %d", r.Status)
	}
	if got := eval[[]string](b, "[...document.querySelectorAll('[aria-invalid=true]')].map((e) => e.id + '=' + e.value)"); fmt.Sprint(got) != "[first-1=heavy-ish first-3=-3]" {
		t.Errorf("marked: %v", got)
	}
	if v := eval[string](b, "document.querySelector('#first-2').value"); v != weightAt(2) {
		t.Errorf("what was typed is %q now", v)
	}
	if got := eval[string](b, "document.title"); !strings.HasPrefix(got, "Error: ") {
		t.Errorf("the title is %q", got)
	}
	b.quiet(http.StatusUnprocessableEntity, "bad cells")
	b.press("#leave")
	if !strings.Contains(b.text(".status"), "Undo") || !strings.Contains(b.text(".status"), "2") {
		t.Errorf("status: %q", b.text(".status"))
	}
}
