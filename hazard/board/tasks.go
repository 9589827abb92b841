package board

import (
	"cmp"
	"maps"
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
)

// Task is one errand that would lift something.
type Task struct {
	What string      `json:"what"` // walk, measure, sample, night, vet or result
	By   fields.Date `json:"by"`
	Text string      `json:"text"`

	Form   fields.Kind   `json:"-"` // the entry that says it was done, "" if none does
	Nights []fields.Date `json:"-"` // to be looked up
}

// taskForms are the entries that say an errand was done. A veterinarian's word is
// no errand of the farm's own.
var taskForms = map[string]fields.Kind{
	taskWalk: fields.KindWalk, taskMeasure: fields.KindWalk, taskSample: fields.KindSampled,
	taskNight: fields.KindReading, taskResult: fields.KindLab,
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
		if !hasClass(classes, v.Class) || v.CannotBe() {
			continue
		}
		for _, r := range reasonsOf(v) {
			for _, t := range s.tasksOf(p, r) {
				old, ok := best[t.What]
				if !ok || t.By < old.By || t.By == old.By && gradeOfReason(r).worse(gradeOfReason(worst[t.What])) {
					best[t.What], worst[t.What] = t, r
				}
			}
		}
	}
	out := slices.AppendSeq([]Task{}, maps.Values(best))
	out = append(out, s.awaited(s.h.OfPaddock(p.Paddock.ID))...)
	slices.SortStableFunc(out, func(a, b Task) int { return cmp.Or(cmp.Compare(a.By, b.By), cmp.Compare(a.What, b.What)) })
	return out
}

// tasksOf are the errands of one reason, with the day each is due.
func (s *speaker) tasksOf(p *hazard.PaddockAnswer, r *hazard.Reason) []Task {
	text, what := s.act(r)
	row := &lines[r.Line]
	switch {
	case what == "" || r.SoftBy != nil || r.Flag == hazard.Clear:
		return nil
	case r.Line == hazard.LineClock || r.Line == hazard.LineSwathClock:
		return s.clockTasks(p, r)
	case r.Line == hazard.LineUnreadNights && s.lastNight(r):
		text = "read last night's thermometer (" + s.on.Short() + ")"
	}
	by := s.on
	if row.due != nil {
		by = row.due(s, r)
	}
	t := Task{What: what, By: by, Text: sentence(text), Nights: r.Nights}
	if r.Line == hazard.LineWater {
		t.Form = fields.KindWater
	}
	return []Task{t}
}

// clockTasks: damage shows some days after a frost, so the walk is due then; once
// it was walked, what is left is a walk when the days are served. Nights nobody
// read are looked up at once.
func (s *speaker) clockTasks(p *hazard.PaddockAnswer, r *hazard.Reason) []Task {
	var out []Task
	if len(r.Nights) > 0 {
		out = append(out, Task{What: taskNight, By: s.on, Nights: r.Nights, Text: sentence("look up the low for " +
			"" + s.nights(r.Nights) +
			" and log it")})
	}
	const look = ": killed, dry, shoots, shortest growth, weeds"
	from := s.walkFrom(r)
	if p.Data.Walk >= from && r.Through != fields.NoDate && r.Through != hazard.NoEnd {
		by := r.Through + 1
		return append(out, Task{What: taskWalk, By: by, Text: sentence("walk it on " + s.date(by) +
			", when the days are served" + look)})
	}
	return append(out, Task{What: taskWalk, By: from, Text: sentence("walk it on or after " + s.date(from) + look)})
}

// taskResult is the errand to ask a laboratory for a result.
const taskResult = "result"

// labDays is how long a laboratory is given before it is asked: common
// practice, no source.
const labDays = 3

// awaited lists the samples of a place that were sent and have no result yet:
// none that names the sample, and none without a name sampled on that day or
// later.
func (s *speaker) awaited(fs []fields.Fact) []Task {
	var out []Task
	for _, f := range fs {
		sent, ok := f.Body.(*fields.Sampled)
		if !ok || answered(fs, f.Date, sent.Sample) {
			continue
		}
		text := "Ask for the result of sample " + Clean(sent.Sample) + after(" at ", sent.Lab) + ", sent " +
			"" + s.date(f.Date)
		out = append(out, Task{What: taskResult, By: f.Date.Add(labDays), Text: text + ", and log it."})
	}
	return out
}

func answered(fs []fields.Fact, sent fields.Date, sample string) bool {
	return slices.ContainsFunc(fs, func(f fields.Fact) bool {
		l, ok := f.Body.(*fields.Lab)
		return ok && (l.Sample == sample || l.Sample == "" && f.Date >= sent)
	})
}
