package ledger

import (
	"math"

	"larder/internal/units"
)

// Qty is an amount in whole milligrams or microlitres: exact to add.
type Qty int64

// maxQty bounds one amount: a thousand tonnes. More is a slip, and sums of
// many of them still fit.
const maxQty = 1e12

// WeightQty gives a weight as a Qty.
func WeightQty(m units.Mass) Qty { return qtyOf(m.Kg()) }

// LitresQty gives a volume as a Qty.
func LitresQty(v units.Volume) Qty { return qtyOf(v.L()) }

func qtyOf(x float64) Qty {
	if math.IsNaN(x) {
		return 0
	}
	return Qty(math.Round(math.Max(-maxQty, math.Min(maxQty, x*1e6))))
}

// Mass gives a Qty counted by weight as a weight.
func (q Qty) Mass() units.Mass { return units.Mass(float64(q) / 1e6) }

// Volume gives a Qty counted by volume as a volume.
func (q Qty) Volume() units.Volume { return units.Volume(float64(q) / 1e6) }

// GoodsOf tells what sort of thing an item is by the words a keeper calls it
// by. It decides only from which shelf a going-out is taken; what is bought can
// say its sort itself.
func GoodsOf(item string) Goods {
	for _, w := range goodsWords {
		if hasWord(item, w.word) {
			return w.goods
		}
	}
	return Other
}

// The first word that is found decides: "sugar syrup" is a liquid.
var goodsWords = []struct {
	word  string
	goods Goods
}{
	{"fondant", FondantFeed}, {"candy", FondantFeed}, {"pasta", FondantFeed}, {"pollen", ProteinFeed}, {"polen", ProteinFeed}, {"protein", ProteinFeed},
	{"patty", ProteinFeed}, {"patties", ProteinFeed}, {"syrup", LiquidFeed}, {"jarabe", LiquidFeed}, {"hfcs", LiquidFeed}, {"invert", LiquidFeed},
	{"sugar", Sugar}, {"sucrose", Sugar}, {"azúcar", Sugar}, {"azucar", Sugar}, {"sacarosa", Sugar},
}
