package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sync"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sqlite"
	"larder/internal/units"
	"larder/internal/web"
)

// shelf is the folder backups of a book go to, and what became of the last one.
// Each is proved when it is made; by age some are thinned out again.
type shelf struct {
	dir  string
	book func(context.Context) (season.Book, func() error, error) // what is backed up, and what closes it again
	now  func() time.Time
	// everyDay: one is made each day.
	everyDay bool

	running sync.WaitGroup
	making  sync.Mutex // one at a time
	mu      sync.Mutex
	last    web.LastBackup
}

// backupName is what this program calls its backups; other files are not looked at.
var backupName = regexp.MustCompile(`^season-backup-(\d{8}-\d{6})\.larder$`)

const backupStamp = "20060102-150405"

// shelved is one backup in the folder.
type shelved struct {
	name string
	at   time.Time // on the clock of this computer when it was made
}

// onShelf lists the backups in a folder, the oldest first. No folder, no backups.
func onShelf(dir string) ([]shelved, error) {
	list, err := os.ReadDir(dir)
	if os.IsNotExist(err) {
		return nil, nil
	}
	if err != nil {
		return nil, &fault.Error{Kind: fault.NotFound, Thing: dir, Say: "this folder cannot be read", Err: err}
	}
	var out []shelved
	for _, f := range list {
		m := backupName.FindStringSubmatch(f.Name())
		if m == nil || !f.Type().IsRegular() {
			continue
		}
		if at, err := time.ParseInLocation(backupStamp, m[1], time.Local); err == nil {
			out = append(out, shelved{f.Name(), at})
		}
	}
	slices.SortFunc(out, func(a, b shelved) int { return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.name, b.name)) })
	return out, nil
}

// How long backups are kept: all of the last two days, then the last one of each
// day for two weeks, of each week for two months, of each month for two years,
// and of each year for good.
const (
	keepAll    = 2 * 24 * time.Hour
	keepDays   = 14 * 24 * time.Hour
	keepWeeks  = 60 * 24 * time.Hour
	keepMonths = 730 * 24 * time.Hour
)

// tooMany picks the backups that are thinned out by age; all must be in order of
// age. The newest always stays, and so does what a wrong clock dated ahead.
func tooMany(all []shelved, now time.Time) []shelved {
	kept := map[string]bool{}
	var out []shelved
	for i := len(all) - 1; i >= 0; i-- { // the last of each span is met first
		b := all[i]
		var span string
		year, week := b.at.ISOWeek()
		switch age := now.Sub(b.at); {
		case i == len(all)-1, age < keepAll:
			span = b.name
		case age < keepDays:
			span = b.at.Format("day 2006-01-02")
		case age < keepWeeks:
			span = fmt.Sprintf("week %d-%d", year, week)
		case age < keepMonths:
			span = b.at.Format("month 2006-01")
		default:
			span = b.at.Format("year 2006")
		}
		if kept[span] {
			out = append(out, b)
		}
		kept[span] = true
	}
	slices.Reverse(out)
	return out
}

// Make backs the book up now, proves the copy, thins out the old ones and says
// where it lies.
func (s *shelf) Make(ctx context.Context) (string, error) {
	s.making.Lock()
	defer s.making.Unlock()
	at := s.now()
	to := filepath.Join(s.dir, "season-backup-"+at.Format(backupStamp)+".larder")
	err := s.write(ctx, to)
	s.mu.Lock()
	s.last = web.LastBackup{At: at, Where: to, Err: err}
	s.mu.Unlock()
	if err != nil {
		return to, err
	}
	return to, s.thin(at)
}

func (s *shelf) write(ctx context.Context, to string) error {
	if err := os.MkdirAll(s.dir, 0o700); err != nil {
		return &fault.Error{Kind: fault.NoRoom, Thing: s.dir, Say: "this folder cannot be made", Err: err}
	}
	book, done, err := s.book(ctx)
	if err != nil {
		return err
	}
	if file, ok := book.(*sqlite.Book); ok {
		err = file.Backup(ctx, to)
	} else {
		var facts []season.Fact
		if facts, err = book.Facts(ctx, units.Moment{}); err == nil {
			err = sqlite.Save(ctx, to, facts)
		}
	}
	return errors.Join(err, done())
}

// opened is a book that is open anyway and stays so.
func opened(b season.Book) func(context.Context) (season.Book, func() error, error) {
	return func(context.Context) (season.Book, func() error, error) {
		return b, func() error { return nil }, nil
	}
}

// thin takes away what is too much, and what a backup left half done that was
// cut off a day ago or more.
func (s *shelf) thin(now time.Time) error {
	if parts, err := filepath.Glob(filepath.Join(s.dir, "season-backup-*.larder.part*")); err == nil {
		for _, p := range parts {
			if info, err := os.Stat(p); err == nil && now.Sub(info.ModTime()) > 24*time.Hour {
				_ = os.Remove(p) // it is tried again tomorrow
			}
		}
	}
	all, err := onShelf(s.dir)
	if err != nil {
		return err
	}
	for _, b := range tooMany(all, now) {
		if err := os.Remove(filepath.Join(s.dir, b.name)); err != nil && !os.IsNotExist(err) {
			return &fault.Error{Kind: fault.NoRoom, Thing: b.name, Say: "this old backup cannot be thinned out", Err: err}
		}
	}
	return nil
}

// Last tells of the last backup: the one made since the start, else the newest
// in the folder.
func (s *shelf) Last() web.LastBackup {
	s.mu.Lock()
	last := s.last
	s.mu.Unlock()
	all, err := onShelf(s.dir)
	if err != nil && last.Err == nil {
		last.Err = err
	}
	last.Dir, last.Kept, last.Daily = s.dir, len(all), s.everyDay
	if last.At.IsZero() && len(all) > 0 {
		n := all[len(all)-1]
		last.At, last.Where = n.at, filepath.Join(s.dir, n.name)
	}
	return last
}

// due tells whether a day has passed since the newest backup. A backup dated
// ahead by a wrong clock does not put the next one off.
func (s *shelf) due() bool {
	all, err := onShelf(s.dir)
	if err != nil {
		return true // and then making one says what is wrong
	}
	now := s.now()
	for _, b := range all {
		if age := now.Sub(b.at); age >= 0 && age < 24*time.Hour {
			return false
		}
	}
	return true
}

// daily backs up once a day for as long as ctx lasts, and looks every tick
// whether it is time. What goes wrong is told and tried again.
func (s *shelf) daily(ctx context.Context, tick <-chan time.Time, tell func(error)) {
	for {
		if s.due() {
			if _, err := s.Make(ctx); err != nil && ctx.Err() == nil {
				tell(err)
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-tick:
		}
	}
}
