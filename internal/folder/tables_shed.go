package folder

import (
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/supplement"
	"larder/internal/units"
)

// usedColumn is what else went into a batch: "item | lot | amount", with ; between.
var usedColumn = col[ledger.Batch]{
	column: column{name: "used", also: []string{"supplements"}, sort: sText, rare: true, text: true,
		what:    "supplements and bought feed that went in, each as item | lot | amount, with ; between them; the lot may be empty",
		example: "powder in the blue tub | P-9 | 95 g", blank: "none"},
	put: func(b *ledger.Batch) string {
		out := make([]string, len(b.Used))
		for i, u := range b.Used {
			much := u.Mass.String()
			if u.Mass.IsZero() {
				much = u.Volume.String()
			}
			out[i] = u.Item + " | " + u.Lot + " | " + much
		}
		return strings.Join(out, "; ")
	},
	take: func(b *ledger.Batch, c *cell) error {
		for one := range strings.SplitSeq(c.freeText(true), ";") {
			if strings.TrimSpace(one) == "" {
				continue
			}
			part := strings.Split(one, "|")
			if len(part) != 3 {
				return fault.Newf(fault.NotUnderstood, "", "%q is not an item, a lot and an amount", strings.TrimSpace(one)).WithHint("write for example powder in the blue tub | P-9 | 95 g")
			}
			a, err := supplement.ParseAmount(part[2], c.m.loc)
			if err != nil {
				return err
			}
			b.Used = append(b.Used, ledger.Used{Item: strings.TrimSpace(part[0]), Lot: strings.TrimSpace(part[1]), Mass: a.Mass, Volume: a.Volume})
		}
		return nil
	},
}

var stockTable = tableOf("stock", "stock", "What was done in the shed with a lot that was bought or a batch that was mixed; one row for each.",
	choice("what", "what was done", ledger.Happenings(), map[string]ledger.Happening{"spilled": ledger.Spilt, "returned": ledger.Back, "thrownaway": ledger.Discarded, "count": ledger.Counted},
		func(b *ledger.Handled) *ledger.Happening { return &b.What }).needed().eg("spilt"),
	named("item", "what it is, as it was bought", "white sugar", func(b *ledger.Handled) *string { return &b.Item }).or("product").void("it is a batch"),
	named("lot", "number on the bag", "S-114", func(b *ledger.Handled) *string { return &b.Lot }).or("lot no", "lot number").void("not told"),
	named("batch", "the batch, of mixed syrup, instead of an item", "", func(b *ledger.Handled) *string { return &b.Batch }).or("batch no", "batch number").void("it is an item"),
	entered(sMass, "mass", "how much, by weight", "12 lb", usualMass, func(b *ledger.Handled) *units.Entered[units.Mass] { return &b.Mass }).or("weight", "amount").void("by volume, or a lot was opened"),
	entered(sVolume, "volume", "how much, by volume, instead of a weight", "", usualFeed, func(b *ledger.Handled) *units.Entered[units.Volume] { return &b.Volume }).void("by weight, or a lot was opened"),
	named("kept", "where an opened lot stands", "dark and dry", func(b *ledger.Handled) *string { return &b.Kept }).void("not told").seldom(),
	text("note", "anything; for what was thrown away, how and where", "sour", func(b *ledger.Handled) *string { return &b.Note }).or("notes", "remark", "remarks", "comment", "comments"),
)

// silentWord stands for a line that a label does not have.
const silentWord = "silent"

// line is a column for one line of a label: blank is not yet copied, "silent"
// is a line the label does not have.
func line[T any](s sort, name, what, example string, at func(*supplement.Label) *supplement.Term[T], put func(T) string, take func(string, units.Locale) (T, error)) col[supplement.Label] {
	return col[supplement.Label]{
		column: column{name: name, sort: s, what: what, example: example, blank: "not copied yet; silent = the label has no such line", rare: true, text: true},
		put: func(b *supplement.Label) string {
			switch t := at(b); t.Said {
			case supplement.Says:
				return put(t.Is)
			case supplement.Silent:
				return silentWord
			}
			return ""
		},
		take: func(b *supplement.Label, c *cell) error {
			text := c.freeText(true)
			if strings.EqualFold(text, silentWord) {
				*at(b) = supplement.Nothing[T]()
				return nil
			}
			v, err := take(text, c.m.loc)
			if err == nil {
				*at(b) = supplement.Saying(v)
			}
			return err
		},
	}
}

func rule(name, what, example string, at func(*supplement.Label) *supplement.Rule) col[supplement.Label] {
	return col[supplement.Label]{
		column: column{name: name, sort: sText, what: what, example: example, blank: "none", rare: true, text: true},
		put: func(b *supplement.Label) string {
			if at(b).IsZero() {
				return ""
			}
			return at(b).String()
		},
		take: func(b *supplement.Label, c *cell) (err error) {
			*at(b), err = supplement.ParseRule(c.freeText(true), c.m.loc)
			return err
		},
	}
}

func dayCount(at func(*supplement.Label) *supplement.Term[supplement.Days], name, what, example string) col[supplement.Label] {
	return line(sNumber, name, what, example, at, func(d supplement.Days) string { return strconv.Itoa(int(d)) },
		func(s string, _ units.Locale) (supplement.Days, error) { return supplement.ParseDays(s) })
}

var labelsTable = tableOf("labels", "label", "Labels of supplements, as you copied them; a later row for the same product replaces the one before. Nothing here is anybody's advice.",
	named("product", "what you call it, as it was bought", "powder in the blue tub", func(b *supplement.Label) *string { return &b.Product }).needed(),
	choice("form", "what it is", []supplement.Form{supplement.Powder, supplement.Liquid}, nil, func(b *supplement.Label) *supplement.Form { return &b.Form }).void("not told").seldom(),
	rule("per_syrup", "dose for a volume of syrup", "2.5 g per 1 L", func(b *supplement.Label) *supplement.Rule { return &b.PerSyrup }),
	rule("per_colony", "dose for one colony", "10 g per colony", func(b *supplement.Label) *supplement.Rule { return &b.PerColony }),
	line(sText, "season_most", "most for one colony in a season", "25 g", func(b *supplement.Label) *supplement.Term[supplement.Amount] { return &b.SeasonMost }, supplement.Amount.String, supplement.ParseAmount),
	line(sNumber, "season_times", "how often in a season", "3", func(b *supplement.Label) *supplement.Term[int] { return &b.SeasonTimes }, strconv.Itoa,
		func(s string, _ units.Locale) (int, error) { return supplement.ParseTimes(s) }),
	line(sPart, "strongest", "strongest syrup it may go into", "60 %", func(b *supplement.Label) *supplement.Term[units.Strength] { return &b.Strongest }, units.Strength.String, units.ParseStrength),
	line(sTemp, "warmest", "warmest syrup it may go into", "30 °C", func(b *supplement.Label) *supplement.Term[units.Temp] { return &b.Warmest }, units.Temp.String, units.ParseTemp),
	line(sText, "carrier", "water to dissolve it in first", "20 mL per 5 g", func(b *supplement.Label) *supplement.Term[supplement.Carrier] { return &b.Carrier }, supplement.Carrier.String, supplement.ParseCarrier),
	line(sText, "order", "the label's own steps of mixing, with ; between them", "add to cooled syrup; stir", func(b *supplement.Label) *supplement.Term[[]string] { return &b.Order },
		func(s []string) string { return strings.Join(s, "; ") }, func(s string, _ units.Locale) ([]string, error) { return supplement.ParseOrder(s), nil }),
	line(sText, "kept_where", "where it is to be kept", "dark and dry", func(b *supplement.Label) *supplement.Term[string] { return &b.KeptWhere }, func(s string) string { return s },
		func(s string, _ units.Locale) (string, error) { return s, nil }),
	dayCount(func(b *supplement.Label) *supplement.Term[supplement.Days] { return &b.OpenedDays }, "opened_days", "days it keeps once opened", "90"),
	dayCount(func(b *supplement.Label) *supplement.Term[supplement.Days] { return &b.MixedDays }, "mixed_days", "days it keeps in the syrup", "5"),
	choice("medicine", "whether it is a medicine", []supplement.YesNo{supplement.Yes, supplement.No}, nil, func(b *supplement.Label) *supplement.YesNo { return &b.Medicine }).void("not told").seldom(),
	text("authority", "who allowed the medicine", "the vet, prescription 12", func(b *supplement.Label) *string { return &b.Authority }).void("not told").seldom(),
	dayCount(func(b *supplement.Label) *supplement.Term[supplement.Days] { return &b.Withdrawal }, "withdrawal_days", "days before honey may be taken again", "42"),
)

var spoonsTable = tableOf("spoons", "spoon", "Your spoon, weighed with a product: a spoon is a volume until then.",
	named("product", "what it was weighed with", "powder in the blue tub", func(b *supplement.Weighing) *string { return &b.Product }).needed(),
	whole("spoonfuls", "level spoonfuls weighed together", "5", func(b *supplement.Weighing) *int { return &b.Spoonfuls }).void("not weighed"),
	entered(sMass, "together", "what they weigh together", "45 g", [3]string{"g", "g", "g"}, func(b *supplement.Weighing) *units.Entered[units.Mass] { return &b.Together }).or("weight").void("not weighed"),
	entered(sVolume, "holds", "what the spoon holds", "15 mL", [3]string{"mL", "mL", "mL"}, func(b *supplement.Weighing) *units.Entered[units.Volume] { return &b.Holds }).void("not measured"),
)
