// Package hive knows woodenware: frames, boxes, floors and roofs, feeders. It
// says what fits on what, what a stack weighs empty, how much comb it has and
// the most stores that comb can hold.
//
// Rules and formulas:
//
//   - Stores in comb = area of comb (both sides) × grams per dm² of sealed
//     comb, the figure "hive.comb_g_dm2". One figure for all frames, so that a
//     keeper who weighs one full comb of his own puts all of them right.
//   - Empty weight of a stack = floor + boxes + drawn combs + crown board +
//     roof + feeder. A measured empty weight wins over all of it.
//   - Boxes stand on each other when they share a [Base].
//
// The kinds come from tables in data/, each row with its source; the keeper
// lays his own kinds over them ([Catalogue.With]). It refuses to know bees,
// colonies, places and dates.
package hive

import (
	"larder/internal/figure"
	"larder/internal/units"
)

// FrameKind is a standard of frame.
type FrameKind struct {
	Key  string
	Name string
	// Area is the clear area of comb on one side.
	Area units.Area
	// Comb is the weight of the frame with drawn, empty comb; CombSD its spread.
	Comb, CombSD units.Mass
	Source       string
	Grade        figure.Grade
}

// Shell is an empty thing of wood or polystyrene: its weight and spread. The
// zero Shell is "not made in that stuff".
type Shell struct {
	Mass, SD units.Mass
	Made     bool
}

// BoxKind is a box: which frames it takes, how many, and what it weighs
// without them.
type BoxKind struct {
	Key        string
	Name       string
	Frame      string // key of a [FrameKind]
	Frames     int    // as many as it holds
	Base       string // key of a [Base]: what it stands on, and with what
	Wood, Poly Shell
	Source     string
	Grade      figure.Grade
}

// Base is the family of floors, crown boards and roofs a stack is finished
// with; boxes of one base stand on each other.
type Base struct {
	Key  string
	Name string
	// Plan is the outer plan of the box; what a tray feeder holds goes with it.
	Plan       units.Area
	Wood, Poly Parts
	Source     string
	Grade      figure.Grade
}

// Parts are the pieces that finish a stack. The zero Parts is "not made in
// that stuff".
type Parts struct {
	Floor, Board, Roof units.Mass
	SD                 units.Mass // of each piece
	Made               bool
}

// Access is what must be opened to fill a feeder.
type Access string

// The ways in.
const (
	Roof     Access = "roof"     // only the roof comes off
	Nest     Access = "nest"     // the hive and its cluster are opened
	Entrance Access = "entrance" // nothing is opened
)

// FeederKind is a kind of feeder, by its shape; makes do not matter.
type FeederKind struct {
	Key  string
	Name string
	// Volume is the usable volume of the usual size, on the hive it is made
	// for; Low and High are the sizes such feeders are made in. What it holds
	// on another hive: [Catalogue.Holds].
	Volume, Low, High units.Volume
	Access            Access
	Caution           string // one sentence to show beside it
	Source            string

	// PerSpace is the volume one frame space taken may hold; 0 = it takes no
	// frame spaces.
	PerSpace units.Volume
	// Tare is its empty weight; TareSD the spread.
	Tare, TareSD units.Mass

	// Fits lists the bases it goes on; nil = any, but for those in Not.
	Fits, Not []string

	factor   string // figure "hive.uptake_" + factor; "" = uptake1
	uptake1  float64
	goesWith string     // "plan", "frame" or "": what Volume grows with
	ref      units.Area // the plan or frame side Volume is told for
}

// Uptake gives how fast bees empty it against a tray (1), from the figures.
func (f FeederKind) Uptake(fs figure.Set) float64 {
	if f.factor == "" {
		return f.uptake1
	}
	return fs.V("hive.uptake_" + f.factor)
}

// OwnFeeder makes a feeder kind of the keeper's own: like the kind like, but
// with its own key, name, usable volume (of any hive) and uptake against a tray.
func OwnFeeder(like FeederKind, key, name string, volume units.Volume, uptake float64) FeederKind {
	like.Key, like.Name, like.Volume, like.Low, like.High = key, name, volume, volume, volume
	like.goesWith, like.factor, like.uptake1 = "", "", uptake
	like.Source = "the keeper's own"
	return like
}
