package season

import (
	"math"
	"unicode/utf8"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/supplement"
)

func checkHandled(h ledger.Handled) error {
	if err := oneOf("what", h.What, ledger.Happenings()...); err != nil {
		return err
	}
	switch {
	case h.Batch == "" && h.Item == "":
		return fault.New(fault.Missing, "stock", "it is not said what this was done with").WithHint("the item that was bought, or the batch that was mixed")
	case h.Batch != "" && h.Item != "":
		return fault.New(fault.Conflict, "stock", "this is said of an item and of a batch at once").WithHint("leave one of them out")
	case h.Batch != "" && !h.Mass.IsZero():
		return fault.New(fault.OutOfRange, h.Batch, "mixed syrup is counted by volume")
	case h.What == ledger.Opened && h.Item == "":
		return fault.New(fault.OutOfRange, h.Batch, "a batch is not opened")
	case h.What == ledger.Opened && !(h.Mass.IsZero() && h.Volume.IsZero()):
		return fault.New(fault.OutOfRange, h.Item, "opening a lot takes nothing from it").WithHint("leave the amount empty")
	case h.What != ledger.Opened && h.Mass.IsZero() == h.Volume.IsZero():
		return fault.New(fault.Missing, h.Item+h.Batch, "how much it was is missing").WithHint("a weight, or a volume of a liquid")
	}
	return first(goodName("item", h.Item), goodName("lot", h.Lot), goodName("batch", h.Batch), goodName("kept", h.Kept),
		notNegative("mass", h.Mass.Q.Kg()), notNegative("volume", h.Volume.Q.L()))
}

// The longest step of mixing and the most of them: more is not a label.
const (
	maxSteps = 30
	maxStep  = 500
)

// checkLabel tells whether a label can be kept. One that is not whole may be:
// it is typed line by line, and what is missing locks the dose, not the book.
func checkLabel(l supplement.Label) error {
	if err := first(needName("product", l.Product), finite(float64(l.Strongest.Is)), finite(float64(l.Warmest.Is)),
		readable("kept", l.KeptWhere.Is), readable("authority", l.Authority)); err != nil {
		return err
	}
	for _, a := range []supplement.Amount{l.PerSyrup.Product, l.PerColony.Product, l.SeasonMost.Is, l.Carrier.Is.Product} {
		if err := first(notNegative("product", a.Mass.Q.Kg()), notNegative("product", a.Volume.Q.L())); err != nil {
			return err
		}
	}
	for _, v := range []float64{l.PerSyrup.Syrup.Q.L(), l.PerColony.Syrup.Q.L(), l.Carrier.Is.Water.Q.L()} {
		if err := notNegative("volume", v); err != nil {
			return err
		}
	}
	if len(l.Order.Is) > maxSteps {
		return fault.Newf(fault.OutOfRange, l.Product, "these are %d steps of mixing", len(l.Order.Is)).WithHint("at most %d", maxSteps)
	}
	for _, s := range l.Order.Is {
		if err := readable("order", s); err != nil {
			return err
		}
	}
	return nil
}

func finite(x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return fault.New(fault.OutOfRange, "label", "this is no number")
	}
	return nil
}

func readable(what, s string) error {
	switch {
	case !utf8.ValidString(s):
		return fault.Newf(fault.NotUnderstood, what, "%.20q is not readable text", s)
	case len(s) > maxStep:
		return fault.Newf(fault.OutOfRange, what, "the text %.20q… is too long", s).WithHint("at most %d characters", maxStep)
	}
	return nil
}

func checkWeighing(w supplement.Weighing) error {
	if err := first(needName("product", w.Product), notNegative("spoon", w.Together.Q.Kg()), notNegative("spoon", w.Holds.Q.L())); err != nil {
		return err
	}
	if w.Together.IsZero() && w.Holds.IsZero() {
		return fault.New(fault.Missing, w.Product, "neither a weight nor a volume of the spoon was told").WithHint("weigh five level spoonfuls together")
	}
	_, err := w.Spoon()
	return err
}
