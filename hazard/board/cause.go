package board

import (
	"math"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// cause is what the reason says, as a clause without its full stop; false for a
// line that has no words.
func (s *speaker) cause(r *hazard.Reason) (string, bool) {
	t := s.generalCause(r)
	if t == "" {
		t = s.prussicCause(r)
	}
	if t == "" {
		t = s.useCause(r)
	}
	if t == "" {
		t = s.nitrateCause(r)
	}
	if t == "" {
		t = s.vetCause(r)
	}
	return t, t != ""
}

func (s *speaker) generalCause(r *hazard.Reason) string {
	listed := s.listed(r)
	switch r.Line {
	case hazard.LineNoP:
		t := "No plant listed here makes prussic acid"
		if listed != "" {
			t += ": " + listed
		}
		return t
	case hazard.LineAllPassed:
		t := "Every line on prussic acid was looked at and none applies"
		if listed != "" {
			t += " (" + listed + ")"
		}
		if r.Since != fields.NoDate {
			t += "; it rests on the walk of " + r.Since.Words()
		}
		return t
	case hazard.LineNotAssessed:
		return "This is not assessed here, and what was not assessed is never clear"
	case hazard.LineUnlisted:
		return "Nothing is written down of what grows here"
	case hazard.LineNeverChecked:
		return "Never sown here, and no walk in the last 365 days says that the weeds were checked" + s.lastWas(r.On)
	case hazard.LineNotListedHCN:
		if listed == "" {
			listed = "some plant here"
		}
		return "No source read speaks of prussic acid in " + listed + ", and no walk in the last 365 days says that the weeds were checked" + s.lastWas(r.On)
	case hazard.LineUnknown:
		if listed == "" {
			return "It is not known what grows here: a sowing names no species"
		}
		return "Not in the species table, so taken for dangerous: " + listed
	case hazard.LineNoSwath:
		return "No swath lies here to graze"
	case hazard.LineNoCrop:
		if r.On == fields.NoDate {
			return "Nothing stands here to cut"
		}
		return "Nothing stands here to cut: it was cut on " + r.On.Words() + ", and no walk since then measured growth"
	}
	return ""
}

func (s *speaker) lastWas(d fields.Date) string {
	if d == fields.NoDate {
		return ""
	}
	return " (the last one: " + d.Words() + ")"
}

func (s *speaker) prussicCause(r *hazard.Reason) string {
	listed := s.listed(r)
	switch r.Line {
	case hazard.LineClock:
		return s.clock(r, "Froze")
	case hazard.LineDryWait:
		return "Killed and dry" + since(r.On) + s.waits(r)
	case hazard.LineShoots:
		return "New shoots of " + s.below(r) + s.found(r.On)
	case hazard.LineNeverMeasured:
		return "Growing, and the shortest growth was never measured" + since(r.Since, r.On)
	case hazard.LineTooShort:
		return "The shortest growth is " + s.below(r) + s.found(r.On)
	case hazard.LineOldHeight:
		t := "The shortest growth was last measured" + when(r.On)
		if ago := s.ago(r.On); ago != "" {
			t += ", " + ago
		}
		return t + "; a height counts for " + plural(s.days(hazard.HeightLife, 7), "day")
	case hazard.LineDrought:
		return "Drought" + since(r.Since, r.On) + ", and no rain has ended it"
	case hazard.LineRainWait:
		return "Rain ended the drought" + when(r.On) + s.waits(r)
	case hazard.LineRainHeight:
		t := "Growing, and the minimum height"
		if r.Limit > 0 {
			t += " of " + s.u.in(fields.Height, r.Limit)
		}
		return t + " was not measured since the rain that ended the drought" + when(r.On)
	case hazard.LineHail:
		return "Hail" + when(r.On) + s.waits(r) + " (no publication gives a number; the frost wait is used)"
	case hazard.LineTrampled:
		return "Trampled" + when(r.On) + s.waits(r) + " (no publication gives a number; the frost wait is used)"
	case hazard.LineSprayed:
		return "Sprayed" + when(r.On) + s.waits(r) + " (publications say several weeks; the number is ours)"
	case hazard.LineWilted:
		return "Found wilted" + when(r.On) + ", and no walk since then says otherwise"
	case hazard.LineFrosted:
		return "Frosted" + when(r.On) + " and not confirmed dead: what lives on can stay poisonous"
	case hazard.LineDamaged:
		return "The walk" + s.ofDate(r.On) + " found frost damage, and the stand is not confirmed dead"
	case hazard.LineCapped:
		if listed == "" {
			listed = "A plant here"
		}
		return listed + " while green: never better than ask first"
	case hazard.LinePossible:
		return s.possible(r)
	case hazard.LineUnreadNights:
		return s.unread(r)
	case hazard.LineForecastCaution, hazard.LineForecastHold:
		t := "Forecast low of " + s.u.temp(r.Value) + " for the night of " + r.On.Words()
		if r.Line == hazard.LineForecastHold {
			return t + ", freezing"
		}
		return t + ": it may freeze where plants stand, so out before dark" + when(before(r.On))
	case hazard.LineOldWalk:
		return "Dead, but the last clean walk was" + when(r.On) + s.agedOut(r)
	case hazard.LineHCNHold:
		return s.hcn(r, "at or above the hold line of ")
	case hazard.LineHCNCaution:
		return s.hcn(r, "at or above the caution line of ")
	case hazard.LineHCNUnfit:
		t := "The HCN result" + s.ofDate(r.On) + " cannot clear anything: the sample was dried, a quick test, or as-fed without dry matter"
		if x := Clean(r.Text); x != "" {
			t += " (" + x + ")"
		}
		return t
	case hazard.LineFlax:
		return "Flax not confirmed dead"
	case hazard.LineFlaxTest:
		return "Flax, even dead, wants an HCN result, and there is none that clears it"
	case hazard.LineHorses:
		if listed == "" {
			listed = "a plant here"
		}
		return "Horses never on " + listed
	}
	return ""
}

// clock puts the frost clock into words: the frost, the nights nobody read and
// the count of days from the last of them.
func (s *speaker) clock(r *hazard.Reason, froze string) string {
	frost, last := r.On, r.On
	if n := len(r.Nights); n > 0 {
		last = max(last, r.Nights[n-1])
		for _, d := range []fields.Date{r.Since, r.On} {
			if d != fields.NoDate && d < r.Nights[0] {
				frost = d
				break
			}
		}
		if frost >= r.Nights[0] {
			frost = fields.NoDate
		}
		t := "Cannot tell: no reading for " + nights(r.Nights)
		if frost != fields.NoDate {
			t = froze + " " + frost.Words() + "; cannot tell since then: no reading for " + nights(r.Nights)
		}
		days := s.span(&hazard.Reason{On: last, Through: r.Through, WasThrough: r.WasThrough, SoftBy: r.SoftBy, Days: r.Days})
		if days > 0 {
			t += "; " + plural(days, "day") + " from " + last.Words()
		}
		return t
	}
	t := froze
	if frost != fields.NoDate {
		t += " " + frost.Words()
	}
	return t + s.waits(r)
}

func (s *speaker) possible(r *hazard.Reason) string {
	ds := r.Nights
	if len(ds) == 0 && r.On != fields.NoDate {
		ds = []fields.Date{r.On}
	}
	t := "It may have frozen where plants stand"
	if len(ds) > 0 {
		t += " in " + nights(ds)
	}
	if r.Limit == 0 {
		return t
	}
	if r.Value <= 0 { // a low at or below zero would be a frost: none is known
		return t + ": no low is known, only that the thermometer stayed above zero"
	}
	v, l := s.u.temp(r.Value), s.u.temp(r.Limit)
	if len(ds) == 1 {
		return t + ": low " + v + ", at or below " + l
	}
	return t + ": lows down to " + v + ", at or below " + l
}

func (s *speaker) unread(r *hazard.Reason) string {
	ds := r.Nights
	if len(ds) == 0 && r.On != fields.NoDate {
		ds = []fields.Date{r.On}
	}
	switch {
	case len(ds) == 0:
		return "Cannot tell: a night has no reading"
	case len(ds) == 1 && ds[0] == s.on:
		return "Cannot tell: last night (" + ds[0].Words() + ") is not in yet"
	}
	return "Cannot tell: no reading for " + nights(ds)
}

func (s *speaker) hcn(r *hazard.Reason, line string) string {
	basis := "on dry matter"
	if r.Rule == hazard.HCNHoldAsIs.String() {
		basis = "as is"
	}
	t := "HCN " + ppm(r.Value) + " ppm " + basis
	if r.Limit > 0 {
		v, l := ppmAgainst(r.Value, r.Limit)
		t = "HCN " + v + " ppm " + basis + ", " + line + l + " ppm"
	}
	if r.On != fields.NoDate {
		t += ", sampled " + r.On.Words()
	}
	return t
}

func (s *speaker) useCause(r *hazard.Reason) string {
	listed := s.listed(r)
	switch r.Line {
	case hazard.LineChopFrosted:
		return "Frost fell on the living stand" + when(r.On) + ", and it was not cut for another use since then"
	case hazard.LineChopWait:
		return "The last frost night was" + when(r.On) + s.waits(r) + " before it is chopped"
	case hazard.LineCutUnknown:
		if listed == "" {
			return "It is not known what grows here"
		}
		return "Not in the species table, so taken for dangerous: " + listed
	case hazard.LineCutClear:
		return "It may be cut; feeding it is a separate question"
	case hazard.LineSwathNotDry:
		t := "The swath"
		if r.On != fields.NoDate {
			t += " cut " + r.On.Words()
		}
		t += " is not confirmed dry: two walks at least 2 days apart must find it dry"
		if r.Since != fields.NoDate {
			t += " (first found dry " + r.Since.Words() + ")"
		}
		return t
	case hazard.LineSwathOldWalk:
		return "The swath is dry, but it was last walked" + when(r.On) + s.agedOut(r)
	case hazard.LineSwathStubble:
		return "No clean walk of the stubble" + since(r.On) + " (all killed, dry, no shoots, weeds checked)"
	case hazard.LineSwathShoots:
		return "Shoots in the stubble of " + s.below(r) + s.found(r.On)
	case hazard.LineSwathClock:
		return s.clock(r, "The swath, or the stand it was cut from, froze")
	case hazard.LineCure:
		return "Baled" + when(r.On) + s.waits(r) + " to cure"
	case hazard.LineEnsile:
		return "Made" + when(r.On) + s.waits(r) + " to ensile"
	case hazard.LineSuspect:
		t := "Suspect of prussic acid, and no laboratory HCN result of the lot itself clears it"
		if w := suspectWords[r.Why]; w != "" {
			t += ": " + w + when(r.Since)
		}
		return t
	case hazard.LineLotClear:
		t := "Nothing made this lot suspect of prussic acid"
		if r.On != fields.NoDate {
			t += ", and its wait since " + r.On.Words() + " is over"
		}
		return t
	}
	return ""
}

// suspectWords are what made a lot suspect.
var suspectWords = map[hazard.Line]string{
	hazard.LineUnlisted:     "nobody knows what it was cut from",
	hazard.LineUnknown:      "it holds a plant that is not in the species table, or none was named",
	hazard.LineFlax:         "flax is always suspect",
	hazard.LineClock:        "its stand or swath was inside a frost wait, set by a frost or an unread night",
	hazard.LinePossible:     "it may have frozen",
	hazard.LineUnreadNights: "a night was not read",
	hazard.LineIncident:     "animals fell sick on its stand",
	hazard.LineDrought:      "its stand was in a drought",
	hazard.LineRainWait:     "its stand was inside the wait after a drought, which rain ended",
	hazard.LineHail:         "its stand was hailed on",
	hazard.LineTrampled:     "its stand was trampled",
	hazard.LineSprayed:      "its stand was sprayed",
	hazard.LineWilted:       "its stand was found wilted",
	hazard.LineShoots:       "its stand had short shoots",
	hazard.LineTooShort:     "its stand was below the minimum height",
}

// nitrateFigure prints ppm NO3-N with the same number as NO3 beside it: the
// two are mistaken for each other by a factor of 4.43.
func nitrateFigure(n float64) string {
	return ppm(n) + " ppm NO3-N (" + ppm(hazard.ConvertNitrate(n, "NO3-N", "NO3")) + " ppm NO3) on dry matter"
}

func (s *speaker) sampled(r *hazard.Reason) string {
	if r.On == fields.NoDate {
		return "The nitrate sample"
	}
	return "The nitrate sample of " + r.On.Words()
}

func (s *speaker) nitrateCause(r *hazard.Reason) string {
	listed := s.listed(r)
	switch r.Line {
	case hazard.LineNitrateUntested:
		if r.On != fields.NoDate {
			return "No nitrate sample clears it: the last one, of " + r.On.Words() + ", does not"
		}
		t := "Nitrate is untested"
		if listed != "" {
			t += ": " + listed
		}
		return t
	case hazard.LineNitrateWait, hazard.LineNitrateInsideWait:
		return "Nitrate can be high: " + s.stressWait(r)
	case hazard.LineNitrateDrought:
		return "Nitrate is high in a drought: drought" + since(r.Since, r.On) + ", and no rain has ended it"
	case hazard.LineNitrateOvertaken:
		return s.sampled(r) + " no longer counts: a stress, a cut or a graze-out came on that day or later"
	case hazard.LineNitrateAged:
		t := s.sampled(r)
		if ago := s.ago(r.On); ago != "" {
			t += ", " + ago + ","
		}
		t += " is too old"
		if r.Days > 0 {
			t += ": it counts for " + plural(r.Days, "day")
		}
		return t
	case hazard.LineNitrateNights:
		t := "The nitrate sample" + s.ofDate(r.Since) + " no longer clears it"
		if len(r.Nights) > 0 {
			return t + ": unread, or perhaps freezing, since then: " + nights(r.Nights)
		}
		return t + ": nights since then have no reading or may have frozen"
	case hazard.LineNitrateTable:
		return s.nitrateTable(r, "Nitrate ")
	case hazard.LineNitrateClears:
		t := "Nitrate"
		if r.Value > 0 || r.Limit > 0 {
			t += " " + nitrateFigure(r.Value)
		}
		if r.On != fields.NoDate {
			t += ", sampled " + r.On.Words()
		}
		return t + ": clear in every table asked"
	case hazard.LineNitrateLow:
		t := "No plant here gathers nitrate"
		if listed != "" {
			t += " (" + listed + ")"
		}
		if r.On != fields.NoDate {
			t += "; weeds checked " + r.On.Words()
		}
		return t
	case hazard.LineNitrateLowUnsure:
		t := "The plants here gather little nitrate"
		if listed != "" {
			t += " (" + listed + ")"
		}
		return t + ", but nitrogen was spread, a result speaks against it, or no walk of the last " +
			plural(max(r.Days, 1), "day") + " checked for weeds that gather it"
	case hazard.LineNitrateCutNow:
		t := "Nitrate has not risen yet after the frost or hail" + s.ofDate(r.On) + ": cut now"
		if r.On != fields.NoDate {
			t += ", through and including " + (r.On + 1).Words()
		}
		return t
	case hazard.LineNitratePeak:
		return s.peak(r)
	case hazard.LineNitrateCutRain:
		t := "Nitrate can be high after " + s.stress(r, r.On)
		if r.Since != fields.NoDate && r.Since != hazard.NoEnd {
			t += ", through and including " + r.Since.Words()
		}
		return t
	case hazard.LineNitrateCutBar:
		t := "A nitrate result holds for some class"
		if r.Value > 0 {
			t = "Nitrate " + nitrateFigure(r.Value) + " holds for some class"
		}
		if r.On != fields.NoDate {
			t += ", sampled " + r.On.Words()
		}
		leave := s.rule(hazard.NitrateCutLeave, 30)
		return t + ": raise the bar (leave " + s.u.in(fields.Height, leave) + " or the bottom third, whichever is higher) and test the lot"
	case hazard.LineNitrateLotUntested:
		return "The lot itself was never tested for nitrate, and storing does not take it away" + s.grave(r)
	case hazard.LineNitrateLotThin:
		t := "The lot's nitrate result stands on too few bales or cores, or on no laboratory"
		if r.Limit > 0 {
			t += ": " + number(r.Limit, 0) + " bales or cores are asked for"
		}
		return t + s.grave(r)
	case hazard.LineNitrateLotTable:
		return s.nitrateTable(r, "The lot's nitrate ")
	case hazard.LineNitrateLotSpread:
		// Value is the composite times the spread of bales, Limit the composite.
		spread := s.rule(hazard.NitrateBaleSpread, 2.26)
		return "One composite of the lot says " + nitrateFigure(r.Limit) + ", but the worst bale may hold " +
			number(spread, 2) + " times that, " + ppm(r.Value) + " ppm NO3-N, which is not clear"
	}
	return ""
}

// graveWords are why an untested lot is held for the classes judged as
// pregnant cattle.
var graveWords = map[string]string{
	"bought":          "it was bought, so its origin is unknown",
	"unknown species": "it holds a plant that is not in the species table, or none was named",
	"brassica":        "it holds a brassica",
	"unknown origin":  "its origin is unknown",
	"result":          "a result of the stand it was cut from speaks against it",
}

func (s *speaker) grave(r *hazard.Reason) string {
	if r.Text == "" {
		return ""
	}
	if w, ok := graveWords[r.Text]; ok {
		return "; " + w
	}
	return "; the stand it was cut from had " + s.stress(r, r.On)
}

// stress is "frost on Fri 11-Sep-2026".
func (s *speaker) stress(r *hazard.Reason, d fields.Date) string {
	word := Clean(r.Text)
	if word == "" {
		word = "a stress"
	}
	return word + when(d)
}

// waitEnd is the last day of a nitrate wait; NoEnd while what set it has not
// ended, NoDate where it is not known.
func waitEnd(r *hazard.Reason) (from, end fields.Date) {
	from, end = r.Since, r.Through
	if from == fields.NoDate {
		from = r.On
	}
	if r.SoftBy != nil {
		end = r.WasThrough
	}
	switch {
	case end == hazard.NoEnd || end == fields.NoDate && r.Need == hazard.NeedDecision:
		end = hazard.NoEnd
	case end == fields.NoDate && from != fields.NoDate && r.Days > 0:
		end = from.Add(r.Days)
	}
	return from, end
}

// stressWait is the stress whose wait ends last, with its days counted.
func (s *speaker) stressWait(r *hazard.Reason) string {
	from, end := waitEnd(r)
	t := s.stress(r, from)
	switch {
	case end == hazard.NoEnd:
		return t + ", which has not ended"
	case end == fields.NoDate || from == fields.NoDate || end < from:
		return t
	}
	t += "; " + plural(end.Sub(from), "day")
	if r.Flag != hazard.Hold {
		t += ", through and including " + end.Words()
	}
	return t
}

// peak names the days on which nitrate is highest after a frost or hail.
func (s *speaker) peak(r *hazard.Reason) string {
	t := "Nitrate is high after " + s.stress(r, r.On)
	if r.On == fields.NoDate {
		return t
	}
	from, to := s.days(hazard.NitratePeakFrom, 4), s.days(hazard.NitratePeakTo, 7)
	t += "; it peaks " + r.On.Add(from).Words() + " through " + r.On.Add(to).Words()
	if r.Days > 0 {
		t += ", and the wait runs through and including " + r.On.Add(r.Days).Words()
	}
	return t
}

// nitrateTable says what the table that decided makes of the value.
func (s *speaker) nitrateTable(r *hazard.Reason, first string) string {
	name := s.tableName(r)
	if name == "" && r.Value == 0 {
		return "The nitrate result" + s.ofDate(r.On) + " cannot be judged: it is as fed, and its dry matter was not said"
	}
	t := first + nitrateFigure(r.Value)
	if r.On != fields.NoDate {
		t += ", sampled " + r.On.Words()
	}
	t += "; " + or(name, name, "the table that decided")
	if w := clause(r.Text); w != "" {
		t += " says: " + w
	} else {
		t += " decides"
	}
	switch {
	case r.HasShare && r.Share <= 0:
		t += "; so none for this class"
	case r.HasShare && r.Share < 100:
		t += "; so at most " + number(r.Share, 1) + " % of the ration's dry matter for this class"
		if r.Line == hazard.LineNitrateTable {
			t += ", which grazing cannot measure out"
		}
	}
	return t
}

func or(name, with, without string) string {
	if name != "" {
		return with
	}
	return without
}

// tableName is the publisher and year of the table that decided.
func (s *speaker) tableName(r *hazard.Reason) string {
	t := s.table(r)
	if t == nil {
		return join(cleanAll(r.Names))
	}
	name := Clean(t.Source.Publisher)
	if name == "" {
		name = Clean(t.ID)
	}
	if t.Source.Year > 0 {
		name += " (" + exact(float64(t.Source.Year)) + ")"
	}
	return name
}

func (s *speaker) table(r *hazard.Reason) *hazard.NitrateTableData {
	if s.book == nil {
		return nil
	}
	for _, want := range append([]string{r.Source}, r.Names...) {
		for i := range s.book.Tables {
			if want != "" && (s.book.Tables[i].ID == want || s.book.Tables[i].Source.ID == want) {
				return &s.book.Tables[i]
			}
		}
	}
	return nil
}

func cleanAll(list []string) []string {
	out := make([]string, len(list))
	for i, x := range list {
		out[i] = Clean(x)
	}
	return out
}

func (s *speaker) vetCause(r *hazard.Reason) string {
	switch r.Line {
	case hazard.LineIncident, hazard.LineLotIncident:
		t := "Animals fell sick or died here"
		if r.Line == hazard.LineLotIncident {
			t = "Animals fell sick or died on feed cut with this"
			if n := join(cleanAll(r.Names)); n != "" {
				t += " (lot " + n + ")"
			}
		}
		t += when(r.On)
		if _, b, ok := body[*fields.Incident](s, r); ok {
			var n []string
			if b.Down != nil {
				n = append(n, number(*b.Down, 0)+" down")
			}
			if b.Dead != nil {
				n = append(n, number(*b.Dead, 0)+" dead")
			}
			if len(n) > 0 {
				t += ", " + join(n)
			}
			if w := clause(b.What); w != "" {
				t += " (" + w + ")"
			}
		} else if w := clause(r.Text); w != "" {
			t += " (" + w + ")"
		}
		return t
	case hazard.LineKeepOff:
		who, because := named(r), clause(r.Text)
		if f, b, ok := body[*fields.Vet](s, r); ok {
			if w := Clean(b.Who); w != "" {
				who = w
			}
			because = clause(b.Because)
			return who + " says keep off (" + f.Date.Words() + ")" + becauseWords(because)
		}
		return who + " says keep off" + or(r.On.String(), " ("+r.On.Words()+")", "") + becauseWords(because)
	case hazard.LineMayGraze:
		who, because, until := named(r), clause(r.Text), r.Since
		if r.SoftBy != nil {
			who, because, until = Clean(r.SoftBy.Who), clause(r.SoftBy.Because), r.SoftBy.Until
		} else if _, b, ok := body[*fields.Vet](s, r); ok {
			who, because, until = Clean(b.Who), clause(b.Because), b.Until
		}
		t := who + " says it may be used"
		if until != fields.NoDate {
			t += " through and including " + until.Words()
		}
		t += becauseWords(because)
		if r.Days == 0 && r.SoftBy == nil {
			return t + "; but bad news since then has ended what that word did to earlier holds"
		}
		return t + "; a veterinarian's word alone never makes it clear"
	case hazard.LineVetNone:
		return "No incident and no veterinarian's word stands against it"
	}
	return ""
}

func becauseWords(because string) string {
	if because == "" {
		return ""
	}
	return ", because: " + because
}

// clause is a person's words without their own full stop.
func clause(s string) string { return strings.TrimRight(Clean(s), ". ") }

func (s *speaker) ofDate(d fields.Date) string {
	if d == fields.NoDate {
		return ""
	}
	return " of " + d.Words()
}

func (s *speaker) found(d fields.Date) string {
	if d == fields.NoDate {
		return ""
	}
	return " (measured " + d.Words() + ")"
}

func (s *speaker) agedOut(r *hazard.Reason) string {
	t := ""
	if ago := s.ago(r.On); ago != "" {
		t = ", " + ago
	}
	life := int(math.Round(r.Limit))
	if life == 0 {
		life = r.Days
	}
	if life > 0 {
		t += "; a walk counts for " + plural(life, "day")
	}
	return t
}

func before(d fields.Date) fields.Date {
	if d == fields.NoDate {
		return d
	}
	return d - 1
}

// named is the veterinarian a reason names.
func named(r *hazard.Reason) string {
	for _, n := range r.Names {
		if c := Clean(n); c != "" {
			return c
		}
	}
	return "A veterinarian"
}
