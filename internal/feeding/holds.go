package feeding

import "larder/internal/apiary"

// Codes of holds and questions.
const (
	CodeDisease   = "hold-disease"
	CodeQueenless = "hold-queenless"
	CodeTreatment = "hold-treatment"
	CodeSuper     = "hold-super"
	CodeRefuses   = "hold-refuses"
	CodeWeak      = "weak"

	CodeAskDisease   = "ask-disease"
	CodeAskTreatment = "ask-treatment"
	CodeAskSuper     = "ask-super"
	CodeAskQueen     = "ask-queen"
)

// Seen is what the last look at a colony answers. The zero Seen answers
// nothing: nobody has looked.
type Seen struct {
	Queen     apiary.Answer // queen or fresh eggs seen
	Disease   apiary.Answer // disease seen or suspected
	Treatment apiary.Answer // under a treatment whose label forbids feeding
	Super     apiary.Answer // a honey super is on
	Refuses   apiary.Answer // left its last feed untouched
	Weak      apiary.Answer // too few bees to winter, see [Weak]
}

// Holds tells why a colony may get no syrup (hold; empty = it may) and what is
// to be asked about it without stopping the feed (ask).
//
// Known bad holds: disease (foulbrood guidance of the National Bee Unit: flag,
// inspect, decide), no queen, a treatment whose label forbids feeding, a honey
// super on (syrup must not come into honey), feed left untouched, too weak
// (unite instead: Moeller 1977; ATTTA).
//
// Not known is asked, never taken for safe: disease, treatment and super each
// hold until they are answered. Only the queen does not: in autumn she is
// often not seen and eggs are few, so "not seen" is a question beside the
// plan, and only a known "no" holds. Weakness and refusal are observations,
// not questions: not noted is no hold.
func Holds(s Seen) (hold, ask []Reason) {
	add := func(code, say string) { hold = append(hold, Reason{Code: code, Say: say}) }
	switch s.Disease {
	case apiary.Yes:
		add(CodeDisease, "disease is seen or suspected: have it looked at, no syrup")
	case apiary.Unknown:
		add(CodeAskDisease, "is it free of disease? Not told, so no syrup yet")
	}
	if s.Queen == apiary.No {
		add(CodeQueenless, "it has no queen: unite it or give it one, no syrup")
	}
	switch s.Treatment {
	case apiary.Yes:
		add(CodeTreatment, "the label of its treatment forbids feeding now")
	case apiary.Unknown:
		add(CodeAskTreatment, "is it under a treatment that forbids feeding? Not told, so no syrup yet")
	}
	switch s.Super {
	case apiary.Yes:
		add(CodeSuper, "a honey super is on: take it off before any syrup")
	case apiary.Unknown:
		add(CodeAskSuper, "is a honey super on? Not told, so no syrup yet")
	}
	if s.Refuses == apiary.Yes {
		add(CodeRefuses, "it left its last feed untouched: find out why first")
	}
	if s.Weak == apiary.Yes {
		add(CodeWeak, "too few bees to winter: unite it, syrup will not save it")
	}
	if s.Queen == apiary.Unknown {
		ask = append(ask, Reason{Code: CodeAskQueen, Say: "is the queen there? Not told"})
	}
	return hold, ask
}
