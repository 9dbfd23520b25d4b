package cli

import (
	"encoding/xml"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"unicode/utf16"

	"larder/internal/fault"
)

// serviceCmd lets the system start `larder serve` by itself.
type serviceCmd struct {
	Print  bool     `help:"Print what would be written and done, and do nothing."`
	Remove bool     `help:"Take it away again; the book stays."`
	System string   `enum:"linux,darwin,windows,this" default:"this" help:"With --print: for which system (linux, darwin, windows)."`
	Args   []string `arg:"" optional:"" passthrough:"" help:"What larder serve is to be told, for example --lan."`
}

// service is how one system starts a program by itself.
type service struct {
	file    string     // what is written, "" = nothing
	text    string     // into it
	start   [][]string // commands after it was written
	stop    [][]string // commands before it is removed
	windows bool
	there   []string // without a file: the command that goes well when it is installed
	now     string   // what the keeper types to start it now, "" = it was started
}

// Run writes the service of this system and starts it.
func (c *serviceCmd) Run(r *run) error {
	system := c.System
	if system == "this" {
		system = runtime.GOOS
	}
	if system != runtime.GOOS && !c.Print {
		return fault.New(fault.Usage, "--system", "a service of another system can only be printed").WithHint("add --print")
	}
	command, err := c.command(r)
	if err != nil {
		return err
	}
	s, err := serviceOf(system, r.Env, command)
	if err != nil {
		return err
	}
	switch {
	case c.Print:
		s.print(r, c.Remove)
		return nil
	case c.Remove:
		return s.remove(r)
	}
	return s.install(r)
}

// command is what the system is to run.
func (c *serviceCmd) command(r *run) ([]string, error) {
	self, err := os.Executable()
	if err == nil {
		self, err = filepath.EvalSymlinks(self)
	}
	if err != nil {
		return nil, &fault.Error{Kind: fault.NotFound, Op: "install-service", Say: "where this program lies is not known", Err: err}
	}
	book, err := r.bookPath()
	if err != nil {
		return nil, err
	}
	if !isURL(book) {
		if book, err = filepath.Abs(book); err != nil {
			return nil, fault.Wrap(err, "install-service")
		}
	} else if u, err := url.Parse(book); err != nil || hasPassword(u) {
		return nil, fault.New(fault.Unsafe, "--book", "the address of the book has a password in it, which does not belong into a service's file").
			WithHint("put it into the password file of PostgreSQL (.pgpass) and leave it out of the address")
	}
	out := []string{self, "--book", book, "serve", "--no-open"}
	for _, a := range c.Args {
		if a == "--" {
			continue
		}
		if strings.ContainsAny(a, "\n\r\x00") {
			return nil, fault.New(fault.Usage, a, "an argument has a line break in it")
		}
		out = append(out, a)
	}
	if strings.ContainsAny(self+book, "\n\r\x00") {
		return nil, fault.New(fault.Usage, "--book", "a path has a line break in it")
	}
	return out, nil
}

func hasPassword(u *url.URL) bool {
	_, told := u.User.Password()
	return told || u.Query().Has("password")
}

// serviceOf gives the service of a system.
func serviceOf(system string, env func(string) string, command []string) (service, error) {
	home := env("HOME")
	if system != "windows" && home == "" {
		return service{}, fault.New(fault.Missing, "HOME", "your home folder is not known")
	}
	switch system {
	case "linux":
		dir := env("XDG_CONFIG_HOME")
		if !filepath.IsAbs(dir) {
			dir = filepath.Join(home, ".config")
		}
		return service{
			file: filepath.Join(dir, "systemd", "user", "larder.service"), text: UserUnit(command),
			start: [][]string{{"systemctl", "--user", "daemon-reload"}, {"systemctl", "--user", "enable", "--now", "larder.service"}},
			stop:  [][]string{{"systemctl", "--user", "disable", "--now", "larder.service"}},
		}, nil
	case "darwin":
		file := filepath.Join(home, "Library", "LaunchAgents", "larder.plist")
		return service{
			file: file, text: launchdPlist(command, filepath.Join(home, "Library", "Logs", "larder.log")),
			start: [][]string{{"launchctl", "load", "-w", file}},
			stop:  [][]string{{"launchctl", "unload", "-w", file}},
		}, nil
	case "windows":
		return windowsService(command)
	}
	return service{}, fault.Newf(fault.NotKnownHere, system, "how %s starts a program by itself is not known here", system).
		WithHint("let it run at login: %s", strings.Join(command, " "))
}

// A line that is run at login may have no more characters. Source: Microsoft Learn,
// "Run and RunOnce Registry Keys".
const maxRunLine = 260

// windowsService lets a command run when the user logs in. (A scheduled task would
// by default be ended after three days, not be run on battery, and need the rights
// of an administrator: Microsoft Learn, "Task Scheduler Schema".)
func windowsService(command []string) (service, error) {
	line := windowsLine(command)
	if n := len(utf16.Encode([]rune(line))); n > maxRunLine {
		return service{}, fault.Newf(fault.WontFit, "install-service", "Windows runs at login no line of more than %d characters; this one has %d", maxRunLine, n).
			WithHint("put the program or the book into a folder with a shorter path, for example C:\\Larder")
	}
	const key, name = `HKCU\Software\Microsoft\Windows\CurrentVersion\Run`, "Larder"
	return service{
		windows: true,
		start:   [][]string{{"reg", "add", key, "/v", name, "/t", "REG_SZ", "/d", line, "/f"}},
		stop:    [][]string{{"reg", "delete", key, "/v", name, "/f"}},
		there:   []string{"reg", "query", key, "/v", name},
		now:     line,
	}, nil
}

// UserUnit is a user's unit of systemd that runs a command. Source: systemd.service(5), systemd.unit(5) and
// systemd.exec(5) (freedesktop.org).
func UserUnit(command []string) string {
	quoted := make([]string, len(command))
	for i, a := range command {
		quoted[i] = systemdQuote(a)
		if i > 0 { // the program itself is no place for variables
			quoted[i] = strings.ReplaceAll(quoted[i], "$", "$$")
		}
	}
	return "[Unit]\nDescription=Larder, the beekeeper's feeding book\nAfter=network.target\n\n" +
		"[Service]\nExecStart=" + strings.Join(quoted, " ") + "\n" +
		"Restart=on-failure\nRestartSec=5\nNoNewPrivileges=true\nUMask=0077\n\n" +
		"[Install]\nWantedBy=default.target\n"
}

// systemdQuote quotes one word of a command line. Source: systemd.syntax(7),
// "Quoting"; systemd.service(5), "Command lines": % begins a specifier, and after
// the program $ begins a variable.
func systemdQuote(s string) string {
	s = strings.NewReplacer(`\`, `\\`, `"`, `\"`, `%`, `%%`).Replace(s)
	return `"` + s + `"`
}

// launchdPlist is a user's agent. Source: launchd.plist(5).
func launchdPlist(command []string, log string) string {
	var b strings.Builder
	text := func(s string) string {
		var t strings.Builder
		_ = xml.EscapeText(&t, []byte(s)) // a Builder takes all
		return "<string>" + t.String() + "</string>"
	}
	b.WriteString(xml.Header + `<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">` + "\n<plist version=\"1.0\">\n<dict>\n")
	b.WriteString("\t<key>Label</key>\n\t<string>larder</string>\n\t<key>ProgramArguments</key>\n\t<array>\n")
	for _, a := range command {
		b.WriteString("\t\t" + text(a) + "\n")
	}
	b.WriteString("\t</array>\n\t<key>RunAtLoad</key>\n\t<true/>\n\t<key>KeepAlive</key>\n\t<dict>\n\t\t<key>SuccessfulExit</key>\n\t\t<false/>\n\t</dict>\n")
	b.WriteString("\t<key>Umask</key>\n\t<integer>63</integer>\n\t<key>StandardErrorPath</key>\n\t" + text(log) + "\n</dict>\n</plist>\n") // 63 = 077
	return b.String()
}

// windowsLine writes words so that a program on Windows reads them back. Source:
// Microsoft Learn, "Parsing C command-line arguments".
func windowsLine(command []string) string {
	out := make([]string, len(command))
	for i, a := range command {
		if a != "" && !strings.ContainsAny(a, " \t\"") {
			out[i] = a
			continue
		}
		var b strings.Builder
		b.WriteByte('"')
		slashes := 0
		for _, c := range a {
			switch c {
			case '\\':
				slashes++
				continue
			case '"':
				b.WriteString(strings.Repeat(`\`, 2*slashes+1))
			default:
				b.WriteString(strings.Repeat(`\`, slashes))
			}
			slashes = 0
			b.WriteRune(c)
		}
		b.WriteString(strings.Repeat(`\`, 2*slashes) + `"`)
		out[i] = b.String()
	}
	return strings.Join(out, " ")
}

// typed is a command as the keeper types it.
func (s *service) typed(command []string) string {
	if s.windows {
		return windowsLine(command)
	}
	var out []string
	for _, a := range command {
		if strings.ContainsAny(a, " '\"$\\&;()*?<>|`") {
			a = "'" + strings.ReplaceAll(a, "'", `'\''`) + "'"
		}
		out = append(out, a)
	}
	return strings.Join(out, " ")
}

func (s *service) print(r *run, remove bool) {
	commands := s.start
	if remove {
		commands = s.stop
	}
	if r.JSON {
		lines := []string{}
		for _, c := range commands {
			lines = append(lines, s.typed(c))
		}
		_ = r.printJSON(map[string]any{"file": s.file, "text": s.text, "commands": lines})
		return
	}
	if s.file != "" && !remove {
		fmt.Fprintf(r.Out, "%s:\n\n%s\n", s.file, s.text)
	}
	for _, c := range commands {
		fmt.Fprintln(r.Out, s.typed(c))
	}
	if s.file != "" && remove {
		fmt.Fprintln(r.Out, "rm "+s.typed([]string{s.file}))
	}
}

func (s *service) install(r *run) error {
	if s.file == "" {
		return s.atLogin(r)
	}
	if err := os.MkdirAll(filepath.Dir(s.file), 0o755); err != nil {
		return &fault.Error{Kind: fault.NoRoom, Thing: filepath.Dir(s.file), Say: "this folder cannot be made", Err: err}
	}
	if err := os.WriteFile(s.file, []byte(s.text), 0o644); err != nil {
		return &fault.Error{Kind: fault.NoRoom, Thing: s.file, Say: "this file cannot be written", Err: err}
	}
	if err := s.do(r, s.start, "the file is written"); err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(map[string]any{"file": s.file, "started": true})
	}
	fmt.Fprintf(r.Out, "Larder runs now and whenever you log in: %s\n", s.file)
	if runtime.GOOS == "linux" {
		fmt.Fprintln(r.Out, "To have it run when nobody is logged in too: loginctl enable-linger")
	}
	return nil
}

// atLogin installs what needs no file.
func (s *service) atLogin(r *run) error {
	if err := s.do(r, s.start, "nothing was changed"); err != nil {
		return err
	}
	if r.JSON {
		return r.printJSON(map[string]any{"file": "", "started": false})
	}
	fmt.Fprintf(r.Out, "Larder starts whenever you log in, in a window that must stay open. To start it now type:\n%s\n", s.now)
	return nil
}

func (s *service) isThere(r *run) bool {
	if s.file == "" {
		_, err := r.system(s.there)
		return err == nil
	}
	_, err := os.Stat(s.file)
	return !os.IsNotExist(err)
}

func (s *service) remove(r *run) error {
	if !s.isThere(r) {
		return fault.New(fault.NotFound, s.file, "no service of larder is there")
	}
	so := "the file is still there"
	if s.file == "" {
		so = "it still starts at login"
	}
	if err := s.do(r, s.stop, so); err != nil {
		return err
	}
	if s.file != "" {
		if err := os.Remove(s.file); err != nil {
			return &fault.Error{Kind: fault.NoRoom, Thing: s.file, Say: "this file cannot be removed", Err: err}
		}
	}
	if r.JSON {
		return r.printJSON(map[string]any{"file": s.file, "removed": true})
	}
	fmt.Fprintln(r.Out, "Larder does not start by itself any more. The book is as it was.")
	return nil
}

// system runs a program of the system and gives what it said.
func (r *run) system(c []string) ([]byte, error) {
	return exec.CommandContext(r.ctx, c[0], c[1:]...).CombinedOutput()
}

// do runs commands; where one cannot be run the keeper is told how things stand, so,
// and what to type.
func (s *service) do(r *run, commands [][]string, so string) error {
	for i, c := range commands {
		out, err := r.system(c)
		if err == nil {
			continue
		}
		var rest []string
		for _, c := range commands[i:] {
			rest = append(rest, s.typed(c))
		}
		say := "the system did not take it"
		if text := strings.TrimSpace(string(out)); text != "" {
			say += ": " + strings.Join(strings.Fields(text), " ")
		}
		return &fault.Error{Kind: fault.Unreachable, Thing: c[0], Say: say, Hint: so + "; when the system can be reached type: " + strings.Join(rest, "; "), Err: err}
	}
	return nil
}
