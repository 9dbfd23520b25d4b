package stories

import (
	"math/rand/v2"
	"net/netip"
	"net/url"
	"strings"
	"time"

	"larder/internal/access"
	"larder/internal/web"
)

// lan is a season of a house whose phones reach it: Ann's is paired, Bob's was
// taken off the list. how says what the connection is like.
func lan(how string, acts ...Story) func() (told, error) {
	return func() (told, error) {
		t, err := unread()
		t.acts, t.lan = acts, &web.Lan{How: how, Secure: how != "plain", Home: netip.Addr.IsPrivate, Ends: t.now().AddDate(10, 0, 0),
			Print: strings.TrimSuffix(strings.Repeat("5A:0F:C3:77:", 8), ":"), Root: []byte("root"),
			Addresses: func() []string {
				return []string{map[bool]string{true: "http", false: "https"}[how == "plain"] + "://192.168.1.20:8642", "http://barn.local:8642"}
			}}
		return t, err
	}
}

// lent is a season whose plan was taken out, on a network: what a helper sees.
func lent() (told, error) {
	t, err := after(Story{Path: "/plan/out", Form: url.Values{}})()
	if err != nil {
		return t, err
	}
	x, err := lan("plain")()
	t.lan = x.lan
	return t, err
}

// co is the book of one of several keepers of a server.
func co() (told, error) {
	t, err := lan("plain")()
	t.keeper = "Ann Lee"
	return t, err
}

// fresh is a house on a network before its first password.
func fresh() (told, error) {
	t, err := lan("plain")()
	t.fresh = true
	return t, err
}

// offered is that the keeper pressed "Pair a phone".
var offered = Story{Path: "/house/phones/code", Form: url.Values{}}

// tokens are those of the phones and the helper of the house, by name: its randomness is seeded,
// so that they are the same in every season.
var tokens = map[string]string{}

func init() {
	if _, err := household(clock(0)); err != nil {
		panic("stories: " + err.Error())
	}
}

// household is the door of a house with an owner's password and two phones.
func household(now func() time.Time) (*access.Door, error) {
	d, err := access.Open(&access.Memory{}, now, rand.NewChaCha8([32]byte{1}))
	if err != nil {
		return nil, err
	}
	console := access.Console()
	if _, err := d.SetPassword("four hives behind the barn", console); err != nil {
		return nil, err
	}
	if _, err := d.AddHelper("Eva", "lift the lids gently", console); err != nil {
		return nil, err
	}
	if tokens["Eva"], err = d.Login("Eva", "lift the lids gently", "192.168.1.50"); err != nil {
		return nil, err
	}
	for _, name := range []string{"Ann's phone", "Bob's phone", "Cleo's phone"} {
		code, _, err := d.Offer(access.Hands{Helper: name == "Cleo's phone"}, console)
		if err != nil {
			return nil, err
		}
		if tokens[name], _, err = d.Pair(code, name, "192.168.1.30"); err != nil {
			return nil, err
		}
	}
	_, err = d.Revoke("Bob's phone", console)
	return d, err
}

// unsettled is the door of a house nobody has set a password for; a code of its
// console works.
func unsettled(now func() time.Time) (*access.Door, error) {
	d, err := access.Open(&access.Memory{}, now, rand.NewChaCha8([32]byte{2}))
	if err == nil {
		_, _, err = d.OfferFirst()
	}
	return d, err
}
