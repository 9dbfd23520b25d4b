package access

import (
	"math/bits"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Whoever tries, however, gets in no more tries than the pace allows; who waits
// as told is let on; nobody waits longer than a quarter of an hour; addresses do
// not slow each other down until all together are too many.
func TestThrottlePace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		burst, every := rapid.IntRange(1, 40).Draw(t, "burst"), time.Duration(rapid.IntRange(1, 30).Draw(t, "every"))*time.Second
		th := newThrottle(burst, every)
		now := time.Date(2026, 9, 4, 10, 0, 0, 0, time.UTC)
		start, passed := now, map[string]int{}
		all := 0
		for range rapid.IntRange(1, 200).Draw(t, "steps") {
			who := rapid.SampledFrom([]string{"192.168.1.2", "192.168.1.3", "2001:db8::1", "2001:db8::2", "2001:db8:1::1"}).Draw(t, "who")
			key := household(who)
			wait := th.take(who, now)
			if wait > longestWait && wait > every+time.Second {
				t.Fatalf("told to wait %v", wait)
			}
			if wait == 0 {
				passed[key]++
				all++
			} else if rapid.Bool().Draw(t, "patient") {
				now = now.Add(wait)
				again := th.take(who, now)
				if again > every { // others may have emptied the common bucket, never more than one refill
					t.Fatalf("waited %v as told and is told %v again", wait, again)
				}
				if again == 0 {
					passed[key]++
					all++
				}
			}
			if most := float64(burst) + float64(now.Sub(start))/float64(every) + 1e-6; float64(all) > most {
				t.Fatalf("%d tries together in %v, at most %v", all, now.Sub(start), most)
			}
			for k, n := range passed {
				if most := freeTries + int(now.Sub(start)/firstWait); n > most {
					t.Fatalf("%s had %d tries in %v, at most %d", k, n, now.Sub(start), most)
				}
			}
			now = now.Add(time.Duration(rapid.IntRange(0, 20000).Draw(t, "ms")) * time.Millisecond)
		}
	})
}

// The nth try over the free ones waits twice as long as the one before.
func TestThrottleDoubles(t *testing.T) {
	th, now := newThrottle(1000, time.Second), begin().t
	var waits []time.Duration
	for range 14 {
		if w := th.take("a", now); w != 0 {
			waits = append(waits, w)
			now = now.Add(w)
			if again := th.take("a", now); again != 0 {
				t.Fatalf("not let on after waiting: %v", again)
			}
		}
	}
	want := []time.Duration{10, 20, 40, 80, 160, 320, 640, 900, 900}
	for i, w := range want {
		if waits[i] != w*time.Second {
			t.Errorf("wait %d is %v, want %v", i, waits[i], w*time.Second)
		}
	}
	// Doing it right, or an hour of quiet, forgets; a clock set back by a year does
	// not shut out for a year.
	th.clear("a")
	if w := th.take("a", now); w != 0 {
		t.Errorf("after success: %v", w)
	}
	for range 20 {
		now = now.Add(th.take("b", now))
	}
	if w := th.take("b", now.Add(-365*24*time.Hour)); w > longestWait {
		t.Errorf("clock set back: %v", w)
	}
}

func TestThrottleStaysSmall(t *testing.T) {
	th, now := newThrottle(1<<30, time.Nanosecond), begin().t
	for i := range 5 * mostKeys {
		th.take(strings.Repeat("x", i%7)+string(rune(0x1000+i)), now)
		now = now.Add(time.Millisecond)
	}
	if n := len(th.by); n > mostKeys {
		t.Errorf("%d addresses remembered", n)
	}
	m := newMeter(time.Minute/50, 50)
	for i := range 5 * mostKeys {
		m.take(string(rune(0x1000+i)), now)
	}
	if n := len(m.by); n > mostKeys {
		t.Errorf("%d addresses metered", n)
	}
}

// Fifty a minute: the fifty-first waits.
func TestMeterPace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := newMeter(time.Minute/50, 50)
		now := begin().t
		start, n := now, 0
		for range rapid.IntRange(1, 300).Draw(t, "steps") {
			if m.take("a", now) == 0 {
				n++
			}
			if most := 50 + float64(now.Sub(start))/float64(time.Minute/50) + 1e-6; float64(n) > most {
				t.Fatalf("%d in %v", n, now.Sub(start))
			}
			now = now.Add(time.Duration(rapid.IntRange(0, 1500).Draw(t, "ms")) * time.Millisecond)
		}
	})
}

// What is read off the screen is what was shown, however it is typed.
func TestCodesAsTyped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		code, err := newCode(seeded(rapid.Uint64().Draw(t, "n")))
		if err != nil {
			t.Fatal(err)
		}
		var typed strings.Builder
		for _, r := range ShowCode(code) {
			switch {
			case r == '0' && rapid.Bool().Draw(t, "o"):
				r = rapid.SampledFrom([]rune("oO")).Draw(t, "which")
			case r == '1' && rapid.Bool().Draw(t, "i"):
				r = rapid.SampledFrom([]rune("iIlL")).Draw(t, "which")
			case r == '-':
				r = rapid.SampledFrom([]rune("- –")).Draw(t, "dash")
			}
			s := string(r)
			if rapid.Bool().Draw(t, "small") {
				s = strings.ToLower(s)
			}
			typed.WriteString(s)
			if rapid.IntRange(0, 5).Draw(t, "blank") == 0 {
				typed.WriteByte(' ')
			}
		}
		if got, ok := ReadCode(typed.String()); !ok || got != code {
			t.Fatalf("%q is read as %q, %v; it was %q", typed.String(), got, ok, code)
		}
		// One letter more, less, or another: not that code.
		for _, bad := range []string{code + "A", code[:7], code[:7] + "*", code[1:] + "U"} {
			if got, ok := ReadCode(bad); ok && got == code {
				t.Fatalf("%q is read as %q", bad, got)
			}
		}
	})
}

// Codes and tokens use all their letters alike and do not come twice.
func TestSecretsAreSpread(t *testing.T) {
	random := seeded(7)
	seen, letters := map[string]bool{}, map[byte]int{}
	const many = 20000
	for range many {
		c, err := newCode(random)
		if err != nil {
			t.Fatal(err)
		}
		if seen[c] {
			t.Fatalf("%s came twice", c)
		}
		seen[c] = true
		for i := range len(c) {
			letters[c[i]]++
		}
	}
	mean := float64(many*codeLength) / 32
	for i := range len(codeLetters) {
		if n := float64(letters[codeLetters[i]]); n < 0.93*mean || n > 1.07*mean { // five deviations of a binomial
			t.Errorf("%c came %v times, about %v expected", codeLetters[i], n, mean)
		}
	}
	if bits.Len(uint(len(codeLetters)-1))*codeLength < 20 {
		t.Error("fewer than the 20 bits a typed code must have (ASVS 6.5.4)")
	}
}

func FuzzReadCode(f *testing.F) {
	for _, s := range []string{"", "ABCD-EFGH", "abcd efgh", "0O1Il---", "ABCDEFGHJ", "ÄÖÜ", "\x00\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		code, ok := ReadCode(s)
		if ok && (len(code) != codeLength || strings.Trim(code, codeLetters) != "") {
			t.Errorf("%q is read as %q", s, code)
		}
		if ok {
			if again, _ := ReadCode(ShowCode(code)); again != code {
				t.Errorf("%q is not read as itself", code)
			}
		}
	})
}

func FuzzPhoneName(f *testing.F) {
	for _, s := range []string{"Ann", "\u202eevil", "<b>", strings.Repeat("x", 100), "\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		n, err := PhoneName(s)
		if err != nil {
			return
		}
		if again, err := PhoneName(n); err != nil || again != n {
			t.Errorf("%q becomes %q, %v", n, again, err)
		}
	})
}
