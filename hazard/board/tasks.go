package board

import (
	"sort"

	"rimegate/fields"
	"rimegate/hazard"
)

// Task is one errand that would lift something.
type Task struct {
	What string      `json:"what"` // walk, measure, sample, night, vet or result
	By   fields.Date `json:"by"`
	Text string      `json:"text"`
}

// tasks are the errands that would lift a paddock's answers for the classes of
// the farm's herds, the earliest first: walk, measure, sample, read a night,
// call the vet. Of each kind there is one, with the earliest day. Two tasks of
// one kind never differ in what they send a person out to do.
func (s *speaker) tasks(p *hazard.PaddockAnswer) []Task {
	classes := FarmClasses(s.h)
	best := map[string]Task{}
	worst := map[string]*hazard.Reason{}
	for i := range p.Verdicts {
		v := &p.Verdicts[i]
		if !hasClass(classes, v.Class) || cannotBe(v) {
			continue
		}
		for j := range v.Hazards {
			for k := range v.Hazards[j].Reasons {
				r := &v.Hazards[j].Reasons[k]
				if r.Flag == hazard.Clear || r.Flag == hazard.Unknown {
					continue
				}
				for _, t := range s.tasksOf(p, r) {
					old, ok := best[t.What]
					if !ok || t.By < old.By || t.By == old.By && worseReason(r, worst[t.What]) {
						best[t.What], worst[t.What] = t, r
					}
				}
			}
		}
	}
	out := make([]Task, 0, len(best))
	for _, t := range best {
		out = append(out, t)
	}
	if p.Paddock != nil {
		out = append(out, awaited(s.h.OfPaddock(p.Paddock.ID))...)
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].By != out[j].By {
			return out[i].By < out[j].By
		}
		return out[i].What < out[j].What
	})
	return out
}

// tasksOf are the errands of one reason, with the day each is due.
func (s *speaker) tasksOf(p *hazard.PaddockAnswer, r *hazard.Reason) []Task {
	text, what := s.act(r)
	if what == "" || r.SoftBy != nil {
		return nil
	}
	by := s.on
	dated := r.Through != fields.NoDate && r.Through != hazard.NoEnd
	switch r.Line {
	case hazard.LineClock, hazard.LineSwathClock:
		return s.clockTasks(p, r)
	case hazard.LineDryWait, hazard.LineRainWait, hazard.LineHail, hazard.LineTrampled, hazard.LineSprayed:
		if dated {
			by = r.Through + 1
		}
	case hazard.LineNitrateWait, hazard.LineNitrateInsideWait:
		if _, end := waitEnd(r); end != hazard.NoEnd && end != fields.NoDate {
			by = end + 1
		}
	case hazard.LineFrosted, hazard.LineDamaged:
		by = max(by, r.WalkOn)
	case hazard.LineNitrateOpen:
		by = max(by, r.WalkOn)
	case hazard.LinePossible:
		if r.WalkOn != fields.NoDate {
			by = r.WalkOn
		}
	case hazard.LineTooShort, hazard.LineShoots:
		if r.On != fields.NoDate {
			by = max(by, r.On.Add(s.days(hazard.HeightLife, 7)))
		}
	case hazard.LineForecastCaution, hazard.LineForecastHold:
		by = max(by, r.On)
	case hazard.LineNitrateNights:
		if n := len(r.Nights); n > 0 {
			by = max(by, r.Nights[n-1].Add(2))
		}
	case hazard.LineUnreadNights:
		if len(r.Nights) == 1 && r.Nights[0] == s.on {
			text = "read last night's thermometer (" + s.on.Words() + ")"
		}
	}
	return []Task{{What: what, By: by, Text: sentence(text)}}
}

// clockTasks: damage shows 2 days after a frost, so the walk is due then; once
// it was walked, or that day has long gone, what is left is a walk when the
// days are served. Nights nobody read are looked up at once.
func (s *speaker) clockTasks(p *hazard.PaddockAnswer, r *hazard.Reason) []Task {
	var out []Task
	if len(r.Nights) > 0 {
		out = append(out, Task{
			What: taskNight, By: s.on,
			Text: sentence("look up the thermometer for " + nights(r.Nights) + " and log the lows"),
		})
	}
	from := s.walkFrom(r)
	if from == fields.NoDate {
		return append(out, Task{What: taskWalk, By: s.on, Text: "Walk it."})
	}
	t := Task{
		What: taskWalk, By: from,
		Text: sentence("walk it on or after " + from.Words() + ": killed, dry, shoots, shortest growth, weeds"),
	}
	if p.Data.Walk >= from && r.Through != fields.NoDate && r.Through != hazard.NoEnd {
		t.By = r.Through + 1
		t.Text = sentence("walk it on " + t.By.Words() + ", when the days are served: killed, dry, shoots, shortest growth, weeds")
	}
	return append(out, t)
}
