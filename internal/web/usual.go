package web

import (
	"strings"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/units"
)

// usualStacks are the hives to choose from where many are made at once. Any
// other is typed as boxes on the hive's or yard's page.
var usualStacks = []string{
	"lang10-deep", "lang10-deep + lang10-medium", "lang10-deep x2", "lang10-medium x3", "lang8-deep x2", "lang8-medium x3",
	"bsn-deep", "bsn-deep + bsn-shallow", "bsn-deep x2", "bs14x12", "commercial", "smith-deep", "wbc-deep",
	"dadant-us", "dadant-blatt", "dadant-blatt-12", "zander x2", "dn x2", "nuc5-deep", "nuc6-deep", "bsn-nuc6",
}

// firstStack and firstFeeder are what is chosen to begin with.
func firstStack(u units.System) string {
	switch u {
	case units.UK:
		return "bsn-deep + bsn-shallow"
	case units.Metric:
		return "dadant-blatt"
	}
	return "lang10-deep + lang10-medium"
}

func firstFeeder(u units.System) string {
	if u == units.US {
		return "tray-2"
	}
	return "tray-1"
}

// stackOptions lists the stacks, with own added if it is none of them.
func (b *Base) stackOptions(own string) []Option {
	var out []Option
	found := own == ""
	for _, text := range usualStacks {
		if _, err := hive.ParseStack(text); err != nil {
			continue // a kind the tables do not have
		}
		found = found || text == own
		out = append(out, Option{text, b.stackWords(text)})
	}
	if !found {
		out = append(out, Option{own, b.stackWords(own)})
	}
	return out
}

// BoxKeys lists the kinds of box, for typing a stack.
func (*Base) BoxKeys() []hive.BoxKind { return hive.Default().Boxes() }

// stackWords gives the words for a stack: the names of its boxes, lowest first.
func (b *Base) stackWords(text string) string {
	s, err := hive.ParseStack(text)
	if err != nil || len(s.Boxes) == 0 {
		return text
	}
	var out []string
	for i := 0; i < len(s.Boxes); {
		k, n := s.Boxes[i].Kind, 0
		for ; i < len(s.Boxes) && s.Boxes[i].Kind == k; i++ {
			n++
		}
		name := b.T("box." + k)
		if n > 1 {
			name = b.T("box.times", "Box", name, "Count", n)
		}
		out = append(out, name)
	}
	return strings.Join(out, " + ")
}

// feederOptions lists the kinds of feeder, none first.
func (b *Base) feederOptions() []Option {
	out := []Option{{"", b.T("feeder.none")}}
	for _, f := range hive.Default().Feeders() {
		out = append(out, Option{f.Key, b.T("feeder." + f.Key)})
	}
	return out
}

// climateOptions lists the classes of winter with their limits; first is the
// choice of none.
func (b *Base) climateOptions(first string) []Option {
	out := []Option{{"", first}}
	for _, k := range season.ClimateClasses() {
		key := "winter." + string(k.Class)
		out = append(out, Option{string(k.Class), b.T(key, "Low", b.S.Temp(k.Low), "High", b.S.Temp(k.High))})
	}
	return out
}

// winterName gives the one word of a class of winter.
func (b *Base) winterName(c apiary.Climate) string {
	if c == "" {
		return b.T("winter.unknown")
	}
	return b.T("winter.name." + string(c))
}

// readUsual reads boxes and feeder of a form and says what does not fit.
func (s *Server) readUsual(b *Base, stackText, feeder string) (u season.Usual) {
	var err error
	if u.Stack, err = hive.ParseStack(stackText); err != nil {
		b.trouble(s.troubleOf(b, err, "stack"))
		return u
	}
	u.Feeder = feeder
	if err := u.Stack.Check(hive.Default(), feeder); err != nil {
		b.trouble(s.troubleOf(b, err, "feeder"))
	}
	return u
}

// YardsHint is the key of what is said over a list of yards: with miles or
// kilometres.
func (b *Base) YardsHint() string {
	if b.S.System == units.Metric {
		return "start.yards.hint.km"
	}
	return "start.yards.hint"
}
