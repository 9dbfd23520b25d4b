package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"

	"larder/internal/access"
	"larder/internal/fault"
)

type passwordCmd struct{}

// Run sets the owner's password. It is asked twice at a terminal, without echo;
// else it is the first line of standard input.
func (c *passwordCmd) Run(r *run) error {
	d, err := r.openDoor()
	if err != nil {
		return err
	}
	password, err := r.readPassword("Owner's password: ")
	if err != nil {
		return err
	}
	ended, err := d.SetPassword(password, access.Console())
	if err != nil {
		return err
	}
	letters := utf8.RuneCountInString(password)
	if r.JSON {
		return r.printJSON(struct {
			Set         bool `json:"set"`
			LoginsEnded int  `json:"logins_ended"`
		}{true, ended})
	}
	fmt.Fprintln(r.Out, "The owner's password is set. Helpers and paired phones stay.")
	if ended > 0 {
		fmt.Fprintf(r.Out, "Logins ended by this: %d.\n", ended)
	}
	if letters < access.AdvisedLetters {
		fmt.Fprintf(r.Out, "It has %d letters; %d or more are better.\n", letters, access.AdvisedLetters)
	}
	fmt.Fprintln(r.Out, "Now `larder serve --lan` answers your home network.")
	return nil
}

func (r *run) readPassword(prompt string) (string, error) {
	f, ok := r.In.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		line, err := bufio.NewReader(io.LimitReader(r.In, 64<<10)).ReadString('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return "", fault.Wrap(err, "read password")
		}
		if line = strings.TrimRight(line, "\r\n"); line == "" {
			return "", fault.New(fault.Missing, "password", "no password was given").WithHint("type it when asked at a terminal, or give it as one line on standard input")
		}
		return line, nil
	}
	one, err := r.ask(f, prompt)
	if err != nil {
		return "", err
	}
	if err := access.CheckPassword(one); err != nil {
		return "", err // before it is typed again
	}
	two, err := r.ask(f, "Once more: ")
	if err != nil {
		return "", err
	}
	if one != two {
		return "", fault.New(fault.Conflict, "password", "the two are not the same; nothing was changed").WithHint("the same command once more")
	}
	return one, nil
}

// ask asks for a line that is not shown.
func (r *run) ask(f *os.File, prompt string) (string, error) {
	fmt.Fprint(r.Err, prompt)
	b, err := term.ReadPassword(int(f.Fd()))
	fmt.Fprintln(r.Err)
	return string(b), fault.Wrap(err, "read password")
}
