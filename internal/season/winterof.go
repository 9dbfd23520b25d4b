package season

import (
	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/units"
)

// Winter gives the class of winter a yard's targets are taken for: as told, else
// from its weather; "" when neither is known.
func (st *State) Winter(yard string, at units.Moment) apiary.Climate {
	if y, ok := st.Yard(yard); ok && y.Climate != apiary.ClimateUnknown {
		return y.Climate
	}
	return st.bench(at).climate(yard)
}

// NeedsAnswers tells whether a colony gets no syrup because super, disease or
// treatment was not told.
func NeedsAnswers(x *Short) bool {
	for _, h := range x.Hold {
		switch h.Code {
		case feeding.CodeAskDisease, feeding.CodeAskTreatment, feeding.CodeAskSuper:
			return true
		}
	}
	return false
}

// Way gives the way from home to a yard: as told, or from the map (told = false);
// ok is false when neither is known.
func (st *State) Way(yard string, at units.Moment) (road feeding.Road, told, ok bool) {
	between, err := st.bench(at).roads()
	if err != nil {
		return feeding.Road{}, false, false
	}
	road, ok = between("", yard)
	_, told = st.Road("", yard)
	return road, told, ok
}
