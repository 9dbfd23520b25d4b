package cli

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/postgres"
	"larder/internal/season"
	"larder/internal/sqlite"
	"larder/internal/units"
)

// isURL tells a PostgreSQL address from a file name.
func isURL(book string) bool {
	return strings.HasPrefix(book, "postgres://") || strings.HasPrefix(book, "postgresql://")
}

// bookPath is where the book is: as told, else season.larder in the user's data
// folder.
func (r *run) bookPath() (string, error) {
	if r.Book != "" {
		if isURL(r.Book) {
			return r.Book, nil
		}
		return r.Book, fileNamed("--book", r.Book)
	}
	dir, err := r.dataFolder()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "season.larder"), nil
}

// dataFolder is the user's own data folder for this program.
func (r *run) dataFolder() (string, error) {
	if runtime.GOOS == "linux" || strings.HasSuffix(runtime.GOOS, "bsd") {
		if x := r.Env("XDG_DATA_HOME"); filepath.IsAbs(x) {
			return filepath.Join(x, "larder"), nil
		}
		if home := r.Env("HOME"); home != "" {
			return filepath.Join(home, ".local", "share", "larder"), nil
		}
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", &fault.Error{Kind: fault.Missing, Thing: "--book", Say: "your data folder is not known", Hint: "say where the book is: --book FILE", Err: err}
	}
	return filepath.Join(dir, "Larder"), nil
}

// openBook opens the book, or makes an empty one.
func (r *run) openBook() (season.Book, error) {
	path, err := r.bookPath()
	if err != nil {
		return nil, err
	}
	if isURL(path) {
		return r.openServer(path)
	}
	if r.Keeper != "" {
		return nil, fault.New(fault.Usage, "--keeper", "keepers share a PostgreSQL server; this book is a file").WithHint("--book postgres://… --keeper NAME")
	}
	return r.openAt(path)
}

// openServer opens a book on a server: the one of the address, or a keeper's.
func (r *run) openServer(url string) (*postgres.Book, error) {
	if r.Keeper == "" {
		return postgres.Open(url)
	}
	k, err := postgres.OpenKeepers(url)
	if err != nil {
		return nil, err
	}
	defer k.Close()
	x, err := k.Named(r.ctx, r.Keeper)
	if err != nil {
		return nil, err
	}
	return k.Open(r.ctx, x.Place)
}

// openFile is openBook where only the SQLite engine will do: backups are files.
func (r *run) openFile() (*sqlite.Book, error) {
	path, err := r.bookPath()
	if err != nil {
		return nil, err
	}
	if isURL(path) {
		return nil, fault.New(fault.Usage, "--book", "this works on a book in a file").WithHint("a PostgreSQL book is backed up with pg_dump, or with `larder export`")
	}
	return r.openAt(path)
}

// openAt opens the file; what is said when it is damaged names the backup and, where
// it has to, the book.
func (r *run) openAt(path string) (*sqlite.Book, error) {
	return sqlite.Open(path, sqlite.Options{LastBackup: newestBackup(path), Named: r.Book != ""})
}

// hasBook tells whether there is a book to read without making one.
func (r *run) hasBook() bool {
	path, err := r.bookPath()
	if err != nil {
		return false
	}
	if isURL(path) {
		return true
	}
	_, err = os.Stat(path)
	return err == nil
}

// newestBackup looks beside the book for the last backup, to name it when the
// book is damaged.
func newestBackup(path string) string {
	dir := filepath.Dir(path)
	found := append(filesLike(dir, "*backup*.larder"), filesLike(filepath.Join(dir, "backups"), "*.larder")...)
	slices.SortFunc(found, func(a, b string) int {
		x, err1 := os.Stat(a)
		y, err2 := os.Stat(b)
		if err1 != nil || err2 != nil {
			return strings.Compare(b, a)
		}
		return y.ModTime().Compare(x.ModTime())
	})
	if len(found) == 0 {
		return ""
	}
	return found[0]
}

// filesLike lists the files of a folder whose names fit. (Glob would take brackets
// in the name of the folder for a pattern.)
func filesLike(dir, pattern string) []string {
	list, _ := os.ReadDir(dir) // no folder, no files
	var out []string
	for _, f := range list {
		if ok, _ := filepath.Match(pattern, f.Name()); ok {
			out = append(out, filepath.Join(dir, f.Name()))
		}
	}
	return out
}

// journalOf reads all facts of a book.
func journalOf(ctx context.Context, b season.Book) (*season.Journal, error) {
	facts, err := b.Facts(ctx, units.Moment{})
	if err != nil {
		return nil, err
	}
	return season.JournalOf(facts)
}
