// Package web is the screens: server-rendered pages that work with the keyboard
// and without JavaScript, from the same binary, with nothing fetched from
// elsewhere.
//
// # How it is laid out
//
// routes.go lists every route, top to bottom. One file per action holds its
// handler and its page struct. screen/<name>/ holds that page's page.html,
// page.css and page.js together; screen/shared/ what all pages share. Handlers
// hold no arithmetic: they read, call season, and fill a struct; the template
// prints it through the page's units.Style. Every sentence a person reads goes
// through the catalogue in text/ (see [Base.T] and [Base.Say]).
//
// # Rules
//
// A state change is a POST, answered by a redirect to a page that says what was
// done and offers to undo it. A form that cannot be taken is shown again with
// all that was typed in it. No inline script or style: the content security
// policy forbids both.
package web
