package board

import (
	"rimegate/fields"
	"rimegate/hazard"
)

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
		return t + s.fertilised(r)
	case hazard.LineNitrateWait, hazard.LineNitrateInsideWait:
		return "Nitrate can be high: " + s.stressWait(r)
	case hazard.LineNitrateDrought:
		return "Nitrate is high in a drought: drought" + since(r.Began, r.On) + ", and no rain has ended it"
	case hazard.LineNitrateOvertaken:
		return s.sampled(r) + " no longer counts: a stress, nitrogen, a cut or a graze-out came on that day or later"
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
		t := "The nitrate sample" + s.ofDate(r.Proof) + " no longer clears it"
		if len(r.Nights) > 0 {
			return t + ": unread, or perhaps freezing, since then: " + nights(r.Nights)
		}
		return t + ": nights since then have no reading or may have frozen"
	case hazard.LineNitrateTable:
		return s.nitrateTable(r, "Nitrate ")
	case hazard.LineNitrateClears:
		t := "Nitrate"
		if r.Nitrate != nil {
			t += " " + nitrateFigure(r.Nitrate.Value)
		}
		if r.On != fields.NoDate {
			t += ", sampled " + r.On.Words()
		}
		return t + s.withWater(r) + ": clear in every table asked"
	case hazard.LineNitrateLow:
		t := "The plants here gather little nitrate"
		if listed != "" {
			t += " (" + listed + ")"
		}
		t += ", no nitrogen was spread of late, the weeds were checked, and no result speaks against it"
		if len(r.Trace) > 0 {
			t += " (scattered in it: " + speciesNames(s.book, r.Trace) + ")"
		}
		return t
	case hazard.LineNitrateLowUnsure:
		t := "The plants here gather little nitrate"
		if listed != "" {
			t += " (" + listed + ")"
		}
		return t + ", but no walk of the last " + plural(max(r.Days, 1), "day") + " checked for weeds that gather it"
	case hazard.LineNitrateFresh:
		return "Nitrogen was spread" + when(r.On) + ": too fresh, through and including " + r.Ends.Words()
	case hazard.LineNitrateWeedy:
		return "Weeds that gather nitrate grow in it: " + listed
	case hazard.LineNitrateOpen:
		t := "A light frost" + when(r.On) + ", and no walk since then says whether it hurt the plants"
		if len(r.Nights) > 1 {
			t = "Light frosts (" + nights(r.Nights) + "), and no walk says whether the last one hurt the plants"
		}
		return t + "; damaged plants gather nitrate"
	case hazard.LineNitrateCutNow:
		t := "Nitrate has not risen yet after the frost or hail" + s.ofDate(r.On) + ": cut now"
		if r.On != fields.NoDate {
			t += ", through and including " + (r.On + 1).Words()
		}
		return t
	case hazard.LineNitratePeak:
		return s.peak(r)
	case hazard.LineNitrateCutRain:
		t := "Nitrate can be high after " + s.stress(r.Stress)
		if r.Stress.Ends != fields.NoDate && r.Stress.Ends != hazard.NoEnd {
			t += ", through and including " + r.Stress.Ends.Words()
		}
		return t
	case hazard.LineNitrateCutBar:
		t := "A nitrate result"
		if r.Nitrate != nil {
			t = "Nitrate " + nitrateFigure(r.Nitrate.Value)
		}
		if r.On != fields.NoDate {
			t += ", sampled " + r.On.Words() + ","
		}
		t += " would hold some class of stock"
		leave := s.rule(hazard.NitrateCutLeave, 30)
		return t + ": raise the bar (leave " + s.u.in(fields.Height, leave) + " or the bottom third, whichever is higher) and test the lot"
	case hazard.LineWater:
		return s.waterCause(r)
	case hazard.LineNitrateLotUntested:
		return "The lot itself was never tested for nitrate, and storing does not take it away" + s.grave(r)
	case hazard.LineNitrateLotThin:
		t := "The lot's nitrate result stands on too few bales or cores, or on no laboratory"
		if r.Bales > 0 {
			t += ": " + number(r.Bales, 0) + " bales or cores are asked for"
		}
		return t + s.grave(r)
	case hazard.LineNitrateLotTable:
		return s.nitrateTable(r, "The lot's nitrate ")
	case hazard.LineNitrateLotSpread:
		n := says(r)
		spread := s.rule(hazard.NitrateBaleSpread, 2.26)
		return "One composite of the lot says " + nitrateFigure(n.Composite) + ", but the worst bale may hold " +
			number(spread, 2) + " times that, " + ppm(n.Value) + " ppm NO3-N, which some table says not to feed"
	}
	return ""
}

func (s *speaker) waterCause(r *hazard.Reason) string {
	return "The stock water (" + Clean(r.Water) + ") holds " + number(r.Value, 1) + " mg NO3-N per litre (tested " + r.On.Words() + "), at or above " +
		number(r.Limit, 1) + "; it adds to the nitrate of the feed"
}

// fertilised says that nitrogen alone made plants gather nitrate.
func (s *speaker) fertilised(r *hazard.Reason) string {
	if r.Dosed == fields.NoDate {
		return ""
	}
	return ", which gather it after so much nitrogen (last spread " + r.Dosed.Words() + ")"
}

// graveWords are why an untested lot is held for the classes judged as
// pregnant cattle.
var graveWords = map[hazard.Untested]string{
	hazard.UntestedBought:   "it was bought, so its origin is unknown",
	hazard.UntestedPlants:   "it holds a plant that is not in the species table, or none was named",
	hazard.UntestedBrassica: "it holds a brassica",
	hazard.UntestedOrigin:   "its origin is unknown",
	hazard.UntestedResult:   "a result of the stand it was cut from speaks against it",
}

func (s *speaker) grave(r *hazard.Reason) string {
	if r.Untested == hazard.UntestedStress {
		return "; the stand it was cut from had " + s.stress(r.Stress)
	}
	if w, ok := graveWords[r.Untested]; ok {
		return "; " + w
	}
	return ""
}

var stressWords = [...]string{
	hazard.NoStress: "a stress", hazard.StressFrost: "frost", hazard.StressHail: "hail", hazard.StressTrampled: "trampling", hazard.StressSprayed: "spray",
	hazard.StressDrought: "drought", hazard.StressRain: "the rain that ended a drought", hazard.StressNitrogen: "nitrogen spread",
}

// stress is "frost on Fri 11-Sep-2026".
func (s *speaker) stress(x hazard.Stress) string { return stressWords[x.Kind] + when(x.On) }

// says is what the tables say of a reason's result.
func says(r *hazard.Reason) hazard.NitrateSays {
	if r.Nitrate == nil {
		return hazard.NitrateSays{}
	}
	return *r.Nitrate
}

// waitEnd is the last day of a nitrate wait; NoEnd while what set it has not
// ended, NoDate where it is not known.
func waitEnd(r *hazard.Reason) (from, end fields.Date) { return r.Stress.On, r.Stress.Ends }

// stressWait is the stress whose wait ends last, with its days counted.
func (s *speaker) stressWait(r *hazard.Reason) string {
	from, end := waitEnd(r)
	t := s.stress(r.Stress)
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
	t := "Nitrate is high after " + s.stress(r.Stress)
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

// withWater says what the tested water adds to the feed's figure.
func (s *speaker) withWater(r *hazard.Reason) string {
	n := says(r)
	if n.Water <= 0 {
		return ""
	}
	return ", with its water " + ppm(n.Value+n.Water) + " ppm NO3-N"
}

// nitrateTable says what the table that decided makes of the value.
func (s *speaker) nitrateTable(r *hazard.Reason, first string) string {
	name, n := s.tableName(r), says(r)
	if name == "" && n.Value == 0 {
		return "The nitrate result" + s.ofDate(r.On) + " cannot be judged: it is as fed, and its dry matter was not said"
	}
	t := first + nitrateFigure(n.Value)
	if r.On != fields.NoDate {
		t += ", sampled " + r.On.Words()
	}
	t += s.withWater(r)
	t += "; " + or3(name, name, "the table that decided")
	if w := clause(n.Words); w != "" {
		t += " says: " + w
	} else {
		t += " decides"
	}
	switch {
	case r.Nitrate == nil:
	case n.MaxShare <= 0:
		t += "; so none for this class"
	case n.MaxShare < 100:
		t += "; so at most " + number(n.MaxShare, 1) + " % of the ration's dry matter for this class"
		if r.Line == hazard.LineNitrateTable {
			t += ", which grazing cannot measure out"
		}
	}
	return t
}

func or3(name, with, without string) string {
	if name != "" {
		return with
	}
	return without
}

// tableName is the publisher and year of the table that decided.
func (s *speaker) tableName(r *hazard.Reason) string {
	t := s.table(r)
	if t == nil {
		return Clean(says(r).Table)
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
	for _, want := range []string{says(r).Source, says(r).Table} {
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
