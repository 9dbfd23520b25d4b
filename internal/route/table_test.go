package route_test

import (
	"fmt"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/route"
	"larder/internal/units"
)

// legsOf writes a table as its ways, one a line.
func legsOf(t route.Table) string {
	var b strings.Builder
	for _, l := range t.Legs {
		fmt.Fprintf(&b, "%s>%s", nameOf(t.From, l.From), nameOf(t.To, l.To))
		if l.HasDist {
			fmt.Fprintf(&b, " %.0fm", float64(l.Dist))
		}
		if l.HasTime {
			fmt.Fprintf(&b, " %.0fs", float64(l.Time))
		}
		b.WriteString("\n")
	}
	return b.String()
}

func nameOf(s []route.Spot, i int) string {
	if s[i].Name != "" {
		return s[i].Name
	}
	return fmt.Sprint(i + 1)
}

func TestReadTable(t *testing.T) {
	for _, c := range []struct {
		name, text string
		o          route.TableOptions
		form       route.Form
		want       string
	}{
		{"rows", "from,to,km,min\nhome,ridge,12.4,20\nridge,home,13,21\n", route.TableOptions{}, route.Rows,
			"home>ridge 12400m 1200s\nridge>home 13000m 1260s\n"},
		{"rows in miles, units in cells", "From;To;Distance (miles);Driving time\nhome;ridge;10;25 min\nhome;creek;2,5;0,5 h\n", route.TableOptions{}, route.Rows,
			"home>ridge 16093m 1500s\nhome>creek 4023m 1800s\n"},
		{"rows, unit told", "from,to,distance\nhome,ridge,12\n", route.TableOptions{In: []string{"km"}}, route.Rows, "home>ridge 12000m\n"},
		{"rows, a speed is no column", "from,to,km,km/h\nhome,ridge,12,50\n", route.TableOptions{}, route.Rows, "home>ridge 12000m\n"},
		{"square", "km,home,ridge,creek\nhome,0,12,4\nridge,12.5,-,9\ncreek,4,,\n", route.TableOptions{}, route.Square,
			"home>ridge 12000m\nhome>creek 4000m\nridge>home 12500m\nridge>creek 9000m\ncreek>home 4000m\n"},
		{"two squares", "km,home,ridge\nhome,0,12\nridge,13,0\n\nmin,ridge,home\nridge,0,21\nhome,20,0\n", route.TableOptions{}, route.Square,
			"home>ridge 12000m 1200s\nridge>home 13000m 1260s\n"},
		{"square of yards that are numbers", ",1,2\n1,0,7\n2,8,0\n", route.TableOptions{In: []string{"mi"}}, route.Square, "1>2 11265m\n2>1 12875m\n"},
		{"bare square, order told", "0,7\n8,0\n", route.TableOptions{In: []string{"min"}, Places: []string{"home", "ridge"}}, route.Square, "home>ridge 420s\nridge>home 480s\n"},
		{"engine", `{"code":"Ok","durations":[[0,600.4],[610,0]],"distances":[[0,8000],[null,0]]}`, route.TableOptions{Places: []string{"home", "ridge"}}, route.Engine,
			"home>ridge 8000m 600s\nridge>home 610s\n"},
		{"engine, order in the file", `{"durations":[[0,600],[610,0]],"places":["home","ridge"]}`, route.TableOptions{}, route.Engine, "home>ridge 600s\nridge>home 610s\n"},
		{"engine, from one to many", `{"distances":[[0,8,9]],"places":["home"],"places_to":["home","ridge","creek"],"metadata":{"query":{"units":"km"}}}`, route.TableOptions{}, route.Engine,
			"home>ridge 8000m\nhome>creek 9000m\n"},
		{"engine, places by where they lie", `{"durations":[[0,600],[610,0]],"sources":[{"location":[-76.5,42.4],"name":"Mill Road"},{"location":[-76.4,42.4]}],"destinations":[{"location":[-76.5,42.4]},{"location":[-76.4,42.4]}]}`, route.TableOptions{}, route.Engine,
			"1>2 600s\n2>1 610s\n"},
	} {
		got, err := route.ReadTable(c.text, c.o)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got.Form != c.form || legsOf(got) != c.want {
			t.Errorf("%s: %s\n%swant\n%s", c.name, got.Form, legsOf(got), c.want)
		}
	}
}

// Nothing is guessed: what the table leaves open is asked for, by name.
func TestReadTableRefuses(t *testing.T) {
	for _, c := range []struct {
		name, text string
		o          route.TableOptions
		kind       fault.Kind
		says       string
	}{
		{"no unit", "from,to,distance\nhome,ridge,12\n", route.TableOptions{}, fault.Missing, "has no unit"},
		{"square without a corner", ",home,ridge\nhome,0,12\nridge,12,0\n", route.TableOptions{}, fault.Missing, "distances or driving times"},
		{"unit of another kind", "from,to,distance\nhome,ridge,12\n", route.TableOptions{In: []string{"min"}}, fault.Missing, "has no unit"},
		{"two lengths", "from,to,km\nhome,ridge,12\nhome,ridge,13\n", route.TableOptions{}, fault.Conflict, "told twice"},
		{"two columns", "from,to,km,miles\nhome,ridge,12,8\n", route.TableOptions{}, fault.Conflict, "two columns"},
		{"absurd", "from,to,km\nhome,ridge,12000\n", route.TableOptions{}, fault.OutOfRange, "not a leg"},
		{"below zero", "from,to,km\nhome,ridge,-3\n", route.TableOptions{}, fault.OutOfRange, ""},
		{"onto itself", "from,to,km\nhome,home,3\n", route.TableOptions{}, fault.Conflict, "from one place to another"},
		{"one end", "from,km\nhome,3\n", route.TableOptions{}, fault.Missing, "only one of the columns"},
		{"bare numbers", "0,7\n8,0\n", route.TableOptions{In: []string{"min"}}, fault.Missing, "does not name its places"},
		{"order of another size", `{"durations":[[0,600],[610,0]]}`, route.TableOptions{Places: []string{"home"}}, fault.Conflict, "2 rows, and 1 places"},
		{"ragged", `{"durations":[[0,600],[610]]}`, route.TableOptions{}, fault.Damaged, "not of one length"},
		{"engine's own trouble", `{"code":"NoTable","message":"no"}`, route.TableOptions{}, fault.Damaged, "could not answer"},
		{"nothing", "from,to,km\nhome,ridge,\n", route.TableOptions{}, fault.Missing, "no distance and no driving time"},
		{"place twice", "km,home,home\nhome,0,1\n", route.TableOptions{}, fault.Conflict, "twice"},
	} {
		_, err := route.ReadTable(c.text, c.o)
		if !fault.Is(err, c.kind) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func TestReadTableSaysUnits(t *testing.T) {
	got, err := route.ReadTable("from,to,distance,min,remark\nhome,ridge,12,20,steep\n", route.TableOptions{In: []string{"mi"}})
	if err != nil {
		t.Fatal(err)
	}
	if c := got.Columns[2]; c.As != "distance" || c.Unit != "mi" || !c.Told {
		t.Error(c)
	}
	if c := got.Columns[3]; c.As != "time" || c.Unit != "min" || c.Told {
		t.Error(c)
	}
	if c := got.Columns[4]; c.As != "" {
		t.Error(c)
	}
}

func FuzzReadTable(f *testing.F) {
	f.Add("from,to,km,min\nhome,ridge,12.4,20\n", "km", "home,ridge")
	f.Add("km,home,ridge\nhome,0,12\nridge,13,0\n\nmin,ridge,home\nridge,0,21\n", "", "")
	f.Add(`{"durations":[[0,600],[610,0]],"distances":[[0,1],[null,0]],"sources":[{"location":[1,2]},{"location":[1,3]}]}`, "", "home,ridge")
	f.Add("0;7,5\n8;0", "min", "a,b")
	f.Fuzz(func(t *testing.T, text, in, places string) {
		o := route.TableOptions{File: "f"}
		if in != "" {
			o.In = []string{in}
		}
		if places != "" {
			o.Places = strings.Split(places, ",")
		}
		got, err := route.ReadTable(text, o)
		if err != nil {
			if fault.Is(err, fault.Internal) {
				t.Fatal(err)
			}
			return
		}
		if len(got.Legs) == 0 {
			t.Fatal("a table without ways was taken")
		}
		seen := map[[2]int]bool{}
		for _, l := range got.Legs {
			if l.From < 0 || l.From >= len(got.From) || l.To < 0 || l.To >= len(got.To) || seen[[2]int{l.From, l.To}] {
				t.Fatal(l)
			}
			seen[[2]int{l.From, l.To}] = true
			if !(l.Dist >= 0 && l.Dist <= 2000*units.Kilometre) || !(l.Time >= 0 && l.Time <= 48*units.Hour) || !l.HasDist && !l.HasTime {
				t.Fatal(l)
			}
		}
	})
}
