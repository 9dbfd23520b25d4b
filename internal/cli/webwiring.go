package cli

import (
	"archive/zip"
	"context"
	"io"
	"runtime/debug"
	"time"

	"larder/internal/cli/example"
	"larder/internal/fault"
	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/web"
)

// screensOf wires what the screens may do beyond the book itself.
func (r *run) screensOf(b season.Book) web.Options {
	o := web.Options{Book: b, Version: version(), ExampleSeason: exampleFacts,
		Export: func(ctx context.Context, w io.Writer, form string) error { return exportTo(ctx, b, w, form) }}
	return o
}

// exportTo writes all facts as one download: a folder in a zip, or a workbook.
func exportTo(ctx context.Context, b season.Book, w io.Writer, form string) error {
	facts, err := b.Facts(ctx, units.Moment{})
	if err != nil {
		return err
	}
	switch form {
	case "xlsx":
		return folder.WriteXLSX(w, facts)
	case "zip":
		z := zip.NewWriter(w)
		err := folder.Write(func(name string) (io.WriteCloser, error) {
			f, err := z.Create("season/" + name)
			return open{f}, err
		}, facts)
		if err != nil {
			return err
		}
		return fault.Wrap(z.Close(), "export zip")
	}
	return fault.Newf(fault.NotFound, form, "there is no such form of export").WithHint("zip or xlsx")
}

// open is a file of a zip: the next one closes it.
type open struct{ io.Writer }

func (open) Close() error { return nil }

// exampleFacts gives the invented season as it is known on its own day.
func exampleFacts() ([]season.Fact, time.Time, error) {
	j, err := exampleSeason()
	if err != nil {
		return nil, time.Time{}, err
	}
	at, err := units.ParseMoment(example.Day, time.UTC)
	if err != nil {
		return nil, time.Time{}, err
	}
	return j.Facts(at), exampleEvening(at), nil
}

// exampleEvening is the hour at which the example is looked at.
func exampleEvening(at units.Moment) time.Time {
	return at.Time().Truncate(24 * time.Hour).Add(19 * time.Hour)
}

// release is the version of a release; its builder sets it through the linker.
var release string

// version is that of the release, else the revision it was built from, else the
// module's.
func version() string {
	if release != "" {
		return release
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return s.Value[:12]
		}
	}
	return info.Main.Version
}
