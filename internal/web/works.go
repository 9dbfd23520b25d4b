package web

// work is something of others that is in the program.
type work struct{ What, By, Licence, Module string }

// works lists what is in the program and under which licence. A test holds it
// against the modules the program is built from and their licence texts; NOTICE
// has the terms of the data.
func works() []work {
	return []work{
		{"Go and golang.org/x", "The Go Authors", "BSD-3-Clause", "golang.org/x"},
		{"apd", "The Cockroach Authors", "Apache-2.0", "github.com/cockroachdb/apd"},
		{"bigfft", "The Go Authors", "BSD-3-Clause", "github.com/remyoudompheng/bigfft"},
		{"currency", "Bojan Zivanovic and contributors", "MIT", "github.com/bojanz/currency"},
		{"excelize", "The excelize Authors", "BSD-3-Clause", "github.com/xuri/excelize"},
		{"efp, nfp", "Ri Xu", "BSD-3-Clause", "github.com/xuri"},
		{"fpdf", "The Go-PDF authors", "MIT", "codeberg.org/go-pdf/fpdf"},
		{"go-deepcopy", "tiendc", "MIT", "github.com/tiendc/go-deepcopy"},
		{"go-humanize", "Dustin Sallings", "MIT", "github.com/dustin/go-humanize"},
		{"go-i18n", "Nick Snyder", "MIT", "github.com/nicksnyder/go-i18n"},
		{"go-isatty", "Yasuhiro Matsumoto", "MIT", "github.com/mattn/go-isatty"},
		{"go-qr", "piglig", "MIT", "github.com/piglig/go-qr"},
		{"go-retry", "Seth Vargo and contributors", "Apache-2.0", "github.com/sethvargo/go-retry"},
		{"go-strftime", "Nuno Cruces", "MIT", "github.com/ncruces/go-strftime"},
		{"go-toml", "Thomas Pelletier", "MIT", "github.com/pelletier/go-toml"},
		{"goose", "Liam Staskawicz, Pressly and contributors", "MIT", "github.com/pressly/goose"},
		{"goldmark", "Yusuke Inuzuka", "MIT", "github.com/yuin/goldmark"},
		{"gozxing", "Daisuke Makiuchi and the ZXing authors", "MIT", "github.com/makiuchi-d/gozxing"},
		{"interpolate", "Buildkite", "MIT", "github.com/mfridman/interpolate"},
		{"kong", "Alec Thomas", "MIT", "github.com/alecthomas/kong"},
		{"mscfb, msoleps", "Richard Lehane", "Apache-2.0", "github.com/richardlehane"},
		{"multierr", "Uber Technologies", "MIT", "go.uber.org/multierr"},
		{"pgx, pgpassfile, pgservicefile, puddle", "Jack Christensen", "MIT", "github.com/jackc"},
		{"SQLite in Go, with libc, mathutil, memory", "The Sqlite, Libc, mathutil and Memory Authors", "BSD-3-Clause", "modernc.org"},
		{"uuid", "Google", "BSD-3-Clause", "github.com/google/uuid"},
	}
}
