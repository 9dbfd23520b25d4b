package cli

import (
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sqlite"
	"larder/internal/units"
)

type doctorCmd struct {
	Backups string `placeholder:"DIR" help:"Where the backups are, when not beside the book."`
}

// A finding is what the doctor says of one thing.
type finding struct {
	About string `json:"about"` // book, backups, disk, clock, season, access, address, program
	State string `json:"state"` // good, look, bad
	Say   string `json:"say"`
	Hint  string `json:"hint,omitempty"`
}

const (
	good = "good"
	look = "look" // nothing is broken, but it should be looked at
	bad  = "bad"
)

// doctor looks at one thing after the other, changes nothing, and never stops at
// the first trouble.
type doctor struct {
	*run
	found []finding
}

func (d *doctor) say(about, state, hint, format string, args ...any) {
	d.found = append(d.found, finding{about, state, fmt.Sprintf(format, args...), hint})
}

// trouble tells of an error in its own words.
func (d *doctor) trouble(about, state string, err error) {
	var e *fault.Error
	if errors.As(err, &e) {
		d.say(about, state, e.Hint, "%s", e.Error())
		return
	}
	d.say(about, state, "", "something went wrong inside: %v", err)
}

// Run looks at the program, the book, its place, its backups and the season, and
// says what is wrong. Exit 1 when something is bad.
func (c *doctorCmd) Run(r *run) error {
	d := &doctor{run: r}
	d.say("program", good, "", "larder %s, %s on %s", version(), runtime.GOOS, runtime.GOARCH)
	facts, there := d.book()
	if there {
		d.clock(facts)
		d.season(facts)
	}
	d.backups(c.Backups, len(facts))
	d.access()
	d.address()
	return d.tell()
}

// book opens the book and looks through it.
func (d *doctor) book() (facts []season.Fact, there bool) {
	path, err := d.bookPath()
	if err != nil {
		d.trouble("book", bad, err)
		return nil, false
	}
	if !d.hasBook() {
		d.say("book", look, "larder serve, or larder import DIR, makes one; larder demo shows an example", "there is no book yet at %s", path)
		return nil, false
	}
	if !isURL(path) {
		d.place(path)
	}
	b, err := d.openBook()
	if fault.Is(err, fault.Busy) {
		d.say("book", look, "stop the other larder to have the book looked through; House there tells of its backups", "%s", err.(*fault.Error).Error())
		return nil, false
	}
	if err != nil {
		d.trouble("book", bad, err)
		return nil, false
	}
	defer b.Close()
	v, ok := b.(verifier)
	if !ok {
		return nil, false
	}
	rep, err := v.Verify(d.ctx)
	if err != nil {
		d.trouble("book", bad, err)
		return nil, false
	}
	if facts, err = b.Facts(d.ctx, units.Moment{}); err != nil {
		d.trouble("book", bad, err)
		return nil, false
	}
	d.say("book", good, "", "the book is sound: %d facts, each read and checked", rep.Facts)
	return facts, true
}

// Less room than this is looked at: a season with its backups of a year is some
// tens of megabytes.
const littleRoom = 200 << 20

// place looks at where the file of the book lies.
func (d *doctor) place(path string) {
	info, err := os.Stat(path)
	if err != nil {
		return // opening it says why
	}
	if runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		d.say("book", look, "chmod 600 "+path, "others on this computer can read the book (%s)", info.Mode().Perm())
	}
	dir := filepath.Dir(path)
	switch free, ok := sqlite.Free(dir); {
	case !ok:
		d.say("disk", look, "", "how much room is left at %s is not known here", dir)
	case free < max(littleRoom, 4*info.Size()):
		d.say("disk", bad, "make room before the next round: what cannot be written down is lost", "%d MB are left where the book is", free>>20)
	default:
		d.say("disk", good, "", "%d MB are left where the book is, which has %.1f MB", free>>20, float64(info.Size())/(1<<20))
	}
}

// clock compares this computer's clock with what was written down.
func (d *doctor) clock(facts []season.Fact) {
	now := d.Now()
	var last time.Time
	for i := range facts {
		if at := facts[i].WrittenAt().Time(); at.After(last) {
			last = at
		}
	}
	switch {
	case last.Sub(now) > 24*time.Hour:
		d.say("clock", bad, "set the clock of this computer (or of the phone that wrote it); facts are ordered by when they were seen",
			"the clock says %s, but something was written down on %s", now.Format("2006-01-02 15:04"), last.In(now.Location()).Format("2006-01-02 15:04"))
	default:
		d.say("clock", good, "", "the clock says %s and nothing was written down later", now.Format("2006-01-02 15:04 MST"))
	}
}

// season tells what keeps a plan from being made.
func (d *doctor) season(facts []season.Fact) {
	j := season.NewJournal()
	if _, err := j.Add(facts...); err != nil {
		d.trouble("season", bad, err)
		return
	}
	st, at, err := stateOf(d.run, j)
	if err != nil {
		d.trouble("season", bad, err)
		return
	}
	if _, unknown := st.Settings.FigureSet(); len(unknown) > 0 {
		d.say("season", look, "larder figures lists those there are", "figures are set that this larder does not know: %s", strings.Join(unknown, ", "))
	}
	if len(st.Colonies()) == 0 {
		d.say("season", look, "larder serve, then begin with the place", "no colonies are told yet")
		return
	}
	if _, err := st.Plan(at, 1); err != nil {
		d.trouble("season", look, err)
		return
	}
	d.say("season", good, "", "a plan can be made")
}

// backups looks for the newest backup and makes a book of it, to see that it is
// one.
func (d *doctor) backups(dir string, facts int) {
	last, where, err := d.newestBackup(dir)
	if err != nil {
		d.trouble("backups", bad, err)
		return
	}
	if last == "" {
		if facts > 0 {
			d.say("backups", bad, "larder backup FILE makes one; larder serve makes one each day", "there is no backup %s", where)
		}
		return
	}
	info, err := os.Stat(last)
	if err != nil {
		d.trouble("backups", bad, &fault.Error{Kind: fault.NotFound, Thing: last, Say: "this backup cannot be read", Err: err})
		return
	}
	tmp, err := os.MkdirTemp("", "larder-doctor-")
	if err != nil {
		d.say("backups", look, "", "there is no room to try the newest backup: %s", last)
		return
	}
	defer os.RemoveAll(tmp)
	done, err := sqlite.Restore(d.ctx, last, filepath.Join(tmp, "tried.larder"), sqlite.RestoreOptions{})
	if err != nil {
		d.trouble("backups", bad, err)
		return
	}
	days := int(d.Now().Sub(info.ModTime()).Hours() / 24)
	state, hint := good, ""
	if days >= 7 && done.Report.Facts < facts {
		state, hint = bad, "larder backup FILE makes one; larder serve makes one each day"
	}
	d.say("backups", state, hint, "a book could be made of the newest backup, %d days old with %d facts: %s", days, done.Report.Facts, last)
}

// newestBackup finds it in the folder named, else beside the book.
func (d *doctor) newestBackup(dir string) (file, where string, err error) {
	if dir != "" {
		all, err := onShelf(dir)
		if err != nil || len(all) == 0 {
			return "", "in " + dir, err
		}
		return filepath.Join(dir, all[len(all)-1].name), dir, nil
	}
	path, err := d.bookPath()
	if err != nil {
		return "", "", err
	}
	if isURL(path) {
		if dir, err = d.dataFolder(); err != nil {
			return "", "", err
		}
		return newestBackup(filepath.Join(dir, "server.larder")), "in " + dir, nil // of the name only the folder counts
	}
	return newestBackup(path), "beside the book", nil
}

// access tells who may come in.
func (d *doctor) access() {
	path, err := d.bookPath()
	if err != nil {
		return // said already
	}
	if _, err := os.Stat(path + ".access"); !isURL(path) && os.IsNotExist(err) {
		d.say("access", good, "", "only this computer is answered: no password is set and no phone is paired")
		return
	}
	door, err := d.openDoor()
	if err != nil {
		d.trouble("access", bad, err)
		return
	}
	in := 0
	for _, p := range door.Phones() {
		if p.Fate == access.Paired {
			in++
		}
	}
	set := "no password is set"
	if door.HasPassword() {
		set = "the owner's password is set"
	}
	d.say("access", good, "", "%s; %d phones and %d helpers are let in", set, in, len(door.Helpers()))
}

// address tells whether the usual address is free.
func (d *doctor) address() {
	const usual = "127.0.0.1:8642"
	ln, err := net.Listen("tcp", usual)
	if err != nil {
		d.say("address", look, "if that is not larder: larder serve --addr 127.0.0.1:0 takes a free port", "something answers at %s already", usual)
		return
	}
	ln.Close()
	d.say("address", good, "", "%s is free", usual)
}

// words are what stands before a finding.
var stateWords = map[string]string{good: "fine", look: "look", bad: "wrong"}

func (d *doctor) tell() error {
	wrong := 0
	for _, f := range d.found {
		if f.State == bad {
			wrong++
		}
	}
	if d.JSON {
		if err := d.printJSON(struct {
			Findings []finding `json:"findings"`
			Wrong    int       `json:"wrong"`
		}{d.found, wrong}); err != nil {
			return err
		}
	} else {
		for _, f := range d.found {
			para(d.Out, fmt.Sprintf("%-6s%-9s", stateWords[f.State], f.About), f.Say)
			if f.Hint != "" {
				para(d.Out, strings.Repeat(" ", 15)+"→ ", f.Hint)
			}
		}
	}
	switch wrong {
	case 0:
		return nil
	case 1:
		return fault.New(fault.Conflict, "", "one thing is wrong").WithHint("it stands above, with what helps")
	}
	return fault.Newf(fault.Conflict, "", "%d things are wrong", wrong).WithHint("they stand above, with what helps")
}
