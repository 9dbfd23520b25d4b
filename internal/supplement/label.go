package supplement

import (
	"math"
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// Said tells whether the label says something.
type Said string

// What the keeper can tell of a line of the label. The zero Said is "not yet
// copied", and that locks the step; Silent is "looked, and it says nothing".
const (
	NotCopied Said = ""
	Silent    Said = "silent"
	Says      Said = "says"
)

// Term is one line of a label.
type Term[T any] struct {
	Said Said `json:"said,omitzero"`
	Is   T    `json:"is,omitzero"`
}

// Saying makes a line that says v.
func Saying[T any](v T) Term[T] { return Term[T]{Says, v} }

// Nothing makes a line the label does not have.
func Nothing[T any]() Term[T] { return Term[T]{Said: Silent} }

// YesNo is an answer that may be missing.
type YesNo string

// The answers.
const (
	NotAnswered YesNo = ""
	Yes         YesNo = "yes"
	No          YesNo = "no"
)

// Form is whether it pours or heaps; a spoon of powder has to be weighed.
type Form string

// The forms.
const (
	FormNotTold Form = ""
	Powder      Form = "powder"
	Liquid      Form = "liquid"
)

// Carrier is the water a product is dissolved in first: so much for so much.
type Carrier struct {
	Water   units.Entered[units.Volume] `json:"water,omitzero"`
	Product Amount                      `json:"product,omitzero"`
}

// Days is a span in whole days.
type Days int

// Label is a product's label as the keeper copied it. The zero Label locks
// everything. Texts are his own words.
type Label struct {
	Product string `json:"product,omitzero"`
	Form    Form   `json:"form,omitzero"`

	// PerSyrup is for a volume of syrup, PerColony for one colony at one
	// feeding; at least one. With both, both hold.
	PerSyrup  Rule `json:"per_syrup,omitzero"`
	PerColony Rule `json:"per_colony,omitzero"`

	// SeasonMost is the most of the product one colony may have in a season,
	// SeasonTimes how often.
	SeasonMost  Term[Amount] `json:"season_most,omitzero"`
	SeasonTimes Term[int]    `json:"season_times,omitzero"`

	Strongest Term[units.Strength] `json:"strongest,omitzero"` // syrup it may go into
	Warmest   Term[units.Temp]     `json:"warmest,omitzero"`   // syrup it may go into
	Carrier   Term[Carrier]        `json:"carrier,omitzero"`
	Order     Term[[]string]       `json:"order,omitzero"` // the label's own steps of mixing

	KeptWhere  Term[string] `json:"kept_where,omitzero"`  // dark, cool, dry, frost-free …
	OpenedDays Term[Days]   `json:"opened_days,omitzero"` // keeps once opened
	MixedDays  Term[Days]   `json:"mixed_days,omitzero"`  // keeps once in the syrup

	Medicine   YesNo      `json:"medicine,omitzero"`
	Authority  string     `json:"authority,omitzero"`  // medicine: who allowed it: vet, prescription, permit
	Withdrawal Term[Days] `json:"withdrawal,omitzero"` // medicine: days before honey may be taken again; silence is not enough
}

// Check gives all that keeps the label locked, in the order of the label: what
// has not been copied ([fault.Missing]) and what cannot be right
// ([fault.OutOfRange]). nil is an open label.
func (l Label) Check() error {
	var all fault.List
	l.missing(&all)
	l.wrong(&all)
	return all.OrNil()
}

const opCheck = "supplement.Label.Check"

// lock adds one thing missing.
func (l Label) lock(all *fault.List, locked bool, say string) {
	if locked {
		*all = append(*all, trouble(fault.Missing, l.Product, opCheck, "%s", say).WithHint("copy it from the label; if the label says nothing about it, say so"))
	}
}

func (l Label) missing(all *fault.List) {
	l.lock(all, strings.TrimSpace(l.Product) == "", "the product has no name")
	l.lock(all, l.Form == FormNotTold, "it has not been told whether it is a powder or a liquid")
	l.lock(all, l.PerSyrup.IsZero() && l.PerColony.IsZero(), "the label's dose has not been entered, neither for syrup nor for a colony")
	l.lock(all, l.SeasonMost.Said == NotCopied && l.SeasonTimes.Said == NotCopied, "the label's most for one colony in a season has not been entered")
	l.lock(all, l.Strongest.Said == NotCopied, "the strongest syrup it may go into has not been entered")
	l.lock(all, l.Warmest.Said == NotCopied, "the warmest syrup it may go into has not been entered")
	l.lock(all, l.Carrier.Said == NotCopied, "whether it is dissolved in water first has not been entered")
	l.lock(all, l.Order.Said == NotCopied, "the label's order of mixing has not been entered")
	l.lock(all, l.KeptWhere.Said == NotCopied, "where it is to be kept has not been entered")
	l.lock(all, l.OpenedDays.Said == NotCopied, "how long it keeps once opened has not been entered")
	l.lock(all, l.MixedDays.Said == NotCopied, "how long it keeps in the syrup has not been entered")
	l.lock(all, l.Medicine == NotAnswered, "it has not been told whether it is a medicine")
	if l.Medicine == Yes {
		if strings.TrimSpace(l.Authority) == "" {
			*all = append(*all, trouble(fault.Missing, l.Product, opCheck, "a medicine needs to be allowed, and who allowed it has not been entered").
				WithHint("the vet and the prescription, or the permit; it depends on the country"))
		}
		if l.Withdrawal.Said != Says {
			*all = append(*all, trouble(fault.Missing, l.Product, opCheck, "the withdrawal period of this medicine has not been entered").
				WithHint("the days before honey may be taken again; 0 if the label says none is needed; ask the vet if it says nothing"))
		}
	}
}

// bad adds one thing that cannot be right.
func (l Label) bad(all *fault.List, wrong bool, say, hint string) {
	if wrong {
		*all = append(*all, trouble(fault.OutOfRange, l.Product, opCheck, "%s", say).WithHint("%s", hint))
	}
}

func (l Label) wrong(all *fault.List) {
	const look = "look at the label again"
	l.bad(all, l.Form != FormNotTold && l.Form != Powder && l.Form != Liquid, "it is neither a powder nor a liquid", "say powder or liquid")
	l.bad(all, !l.PerSyrup.IsZero() && (!l.PerSyrup.Product.check() || !(l.PerSyrup.Syrup.Q > 0) || math.IsInf(float64(l.PerSyrup.Syrup.Q), 0)), "the dose for syrup is not so much product for so much syrup", look)
	l.bad(all, !l.PerColony.IsZero() && (!l.PerColony.Product.check() || !l.PerColony.ByColony()), "the dose for a colony is not so much product", look)
	l.bad(all, l.SeasonMost.Said == Says && !l.SeasonMost.Is.check(), "the most in a season is no amount", look)
	l.bad(all, l.SeasonTimes.Said == Says && l.SeasonTimes.Is < 1, "a season's number of times is at least one", look)
	s := float64(l.Strongest.Is)
	l.bad(all, l.Strongest.Said == Says && !(s > 0 && s < 1), "the strongest syrup is no strength", "for example 50 %, or 1:1 by weight")
	w := float64(l.Warmest.Is)
	l.bad(all, l.Warmest.Said == Says && !(w > 0 && w <= 105), "the warmest syrup is no temperature syrup has", "for example 30 °C")
	c := l.Carrier.Is
	l.bad(all, l.Carrier.Said == Says && (!(c.Water.Q > 0) || math.IsInf(float64(c.Water.Q), 0) || !c.Product.check()), "the water to dissolve it in is not so much water for so much product", "for example 50 mL for 10 g")
	l.bad(all, l.Order.Said == Says && len(l.Order.Is) == 0, "the order of mixing has no steps", look)
	l.bad(all, l.OpenedDays.Said == Says && l.OpenedDays.Is < 0 || l.MixedDays.Said == Says && l.MixedDays.Is < 0 || l.Withdrawal.Said == Says && l.Withdrawal.Is < 0, "days cannot be below zero", look)
	l.bad(all, l.Medicine != NotAnswered && l.Medicine != Yes && l.Medicine != No, "whether it is a medicine is neither yes nor no", "say yes or no")
	l.bad(all, !saidOK(l.SeasonMost.Said, l.SeasonTimes.Said, l.Strongest.Said, l.Warmest.Said, l.Carrier.Said, l.Order.Said, l.KeptWhere.Said, l.OpenedDays.Said, l.MixedDays.Said, l.Withdrawal.Said),
		"a line of the label is neither copied nor silent", "say what it says, or that it says nothing")
	if m := l.SeasonMost; m.Said == Says && m.Is.check() && l.PerColony.Product.check() && m.Is.same(l.PerColony.Product) {
		l.bad(all, m.Is.q() < l.PerColony.Product.q(), "one feeding is more than the whole season's most", look)
	}
}

func saidOK(all ...Said) bool {
	for _, s := range all {
		if s != NotCopied && s != Silent && s != Says {
			return false
		}
	}
	return true
}
