package access

import (
	"strings"
	"time"
)

// Role is what somebody is to the house.
type Role string

// The roles. A console is who sits at the computer itself with a command line, or
// at its own screen: nobody is asked for a password there.
const (
	RoleNobody  Role = "nobody"
	RoleHelper  Role = "helper"
	RolePhone   Role = "phone"   // the owner's own phone
	RoleOwner   Role = "owner"   // by his password
	RoleConsole Role = "console" // this computer itself
)

// Actor is who does something, for the trail.
type Actor struct {
	Role    Role
	Name    string // of a helper or phone; "" = the role says it
	From    string // address; "" = this computer
	Session string // id of the login or the phone
}

// Console is who types commands at this computer.
func Console() Actor { return Actor{Role: RoleConsole} }

// Event is one line of the trail: who did what, when and from where. Nothing
// secret is in it, neither passwords nor codes nor tokens.
type Event struct {
	At      time.Time `json:"at"`
	Role    Role      `json:"role"`
	Name    string    `json:"name,omitempty"`
	From    string    `json:"from,omitempty"`
	Session string    `json:"session,omitempty"`
	What    What      `json:"what"`
	About   string    `json:"about,omitempty"` // the phone, helper or setting it is about
}

// What is one of the things that are written in the trail.
type What string

// The things.
const (
	SignedIn      What = "signed-in"
	SignInFailed  What = "sign-in-failed"
	SignedOut     What = "signed-out"
	SessionEnded  What = "session-ended"
	PasswordSet   What = "password-set"
	CodeOffered   What = "code-offered"
	PhonePaired   What = "phone-paired"
	PairingFailed What = "pairing-failed"
	PhoneRevoked  What = "phone-revoked"
	HelperAdded   What = "helper-added"
	HelperRemoved What = "helper-removed"
	HelperChanged What = "helper-password-set"
	SettingsSet   What = "settings-changed"
	BackedUp      What = "backed-up"
	Exported      What = "exported"
	Imported      What = "imported"
	Restored      What = "restored"
)

// Whats lists them.
func Whats() []What {
	return []What{SignedIn, SignInFailed, SignedOut, SessionEnded, PasswordSet, CodeOffered, PhonePaired, PairingFailed, PhoneRevoked,
		HelperAdded, HelperRemoved, HelperChanged, SettingsSet, BackedUp, Exported, Imported, Restored}
}

// mostAbout is how long what an event is about may be, in bytes.
const mostAbout = 200

// event makes an event of now.
func (d *Door) event(by Actor, what What, about string) Event {
	about = strings.ToValidUTF8(about, "")
	if len(about) > mostAbout {
		about = strings.ToValidUTF8(about[:mostAbout], "")
	}
	return Event{At: d.now().UTC().Truncate(time.Millisecond), Role: by.Role, Name: by.Name, From: by.From, Session: by.Session, What: what, About: about}
}

// Note writes something that was done outside the door into its trail.
func (d *Door) Note(by Actor, what What, about string) error {
	return d.store.Note(d.event(by, what, about))
}

// Trail gives the last events, newest first, at most so many.
func (d *Door) Trail(most int) ([]Event, error) { return d.store.Trail(most) }
