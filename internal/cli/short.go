package cli

import (
	"fmt"
	"io"

	"larder/internal/season"
	"larder/internal/units"
)

type shortCmd struct {
	source
	All bool `help:"Also those that have enough."`
	Why bool `help:"Also every reason of every line."`
}

// Run tells who is short.
func (c *shortCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	shorts := st.Short(at)
	if r.JSON {
		return r.printJSON(allShort(shorts, at, s))
	}
	syr, err := st.Syrup()
	if err != nil {
		return err
	}
	fmt.Fprintf(r.Out, "Who is short, as of %s. Syrup %s (%s)\n\n", s.Moment(at), syr.Recipe.Words, s.Strength(syr.Recipe.Strength))
	c.print(r.Out, s, shorts)
	return nil
}

func (c *shortCmd) print(w io.Writer, s units.Style, shorts []season.Short) {
	sum := season.Sum(shorts)
	t := newTable("yard", "hive", ">stores", ">target", ">short", "chance", ">syrup", "why")
	for _, x := range season.Choose(shorts, season.ShowAll, "", "", season.ByShortage) {
		if !c.All && x.Lack.Known && x.Lack.Syrup == 0 && len(x.Hold) == 0 && !x.Tight {
			continue
		}
		short, syr := "?", "?"
		if x.Lack.Known {
			short, syr = s.Mass(x.Lack.Short), s.Volume(x.Give)
		} else if x.NeedTyped {
			syr = s.Volume(x.Give)
		}
		word := x.Lack.Word
		if x.NoRoom() {
			word = "no room"
		}
		target := "?"
		if x.Lack.Target > 0 {
			target = s.Mass(x.Lack.Target)
		}
		t.row(x.Colony.Yard, x.Colony.ID, kg(s, x.Stores()), target, short, word, syr, tell(s, x.Headline(), 1))
	}
	t.print(w)
	if c.Why {
		for i := range shorts {
			fmt.Fprintf(w, "\n%s\n", shorts[i].Colony.ID)
			whys(w, s, shorts[i].Why())
		}
	}
	fmt.Fprintf(w, "\n%s. To be fed: %d. Enough: %d. Not known: %d. No syrup for now: %d.\n",
		count(sum.Colonies, "colony", "colonies"), sum.Feed, sum.Enough, sum.NotKnown, sum.Held)
	if sum.NoRoom > 0 {
		fmt.Fprintf(w, "Lacking food, but their combs hold no more: %d. Give each a box, or unite it.\n", sum.NoRoom)
	}
	fmt.Fprintf(w, "They lack %s of stores in all; those to be fed need %s of syrup.\n", s.Mass(sum.Short), s.Volume(sum.Syrup))
	if sum.Feeders > 0 {
		fmt.Fprintf(w, "That is beside %s which stands in feeders; %d wait for no more than that.\n", s.Volume(sum.Feeders), sum.Waiting)
	}
}
