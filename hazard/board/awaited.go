package board

import (
	"rimegate/fields"
)

// taskResult is the errand to ask a laboratory for a result.
const taskResult = "result"

// labDays is how long a laboratory is given before it is asked: common
// practice, no source.
const labDays = 3

// awaited lists the samples of a place that were sent and have no result yet:
// none that names the sample, and none without a name sampled on that day or
// later.
func awaited(fs []fields.Fact) []Task {
	var out []Task
	for _, f := range fs {
		sent, ok := f.Body.(*fields.Sampled)
		if !ok || answered(fs, f.Date, sent.Sample) {
			continue
		}
		text := "Ask for the result of sample " + Clean(sent.Sample)
		if sent.Lab != "" {
			text += " at " + Clean(sent.Lab)
		}
		out = append(out, Task{What: taskResult, By: f.Date.Add(labDays), Text: sentence(text + ", sent " + f.Date.Words() + ", and log it")})
	}
	return out
}

func answered(fs []fields.Fact, sent fields.Date, sample string) bool {
	for _, f := range fs {
		if l, ok := f.Body.(*fields.Lab); ok && (l.Sample == sample || l.Sample == "" && f.Date >= sent) {
			return true
		}
	}
	return false
}
