// Package hazard decides: from a history, a rulebook and a moment it derives,
// for each paddock or lot, use and class of stock, a flag with its reasons.
// It is pure: no files, no clock, no network, and no dependence on the order
// in which entries arrived or maps are walked.
//
// Two sentences rule over everything in here. CLEAR is earned, never the
// default. More bad news never makes a flag better.
//
// A file per topic:
//
//   - assess.go puts it together; answer.go has the lines and the answer's shape,
//     rulebook.go the rules by key and the species, ground.go a line of land on one day,
//     team.go the work shared among processors.
//   - nights.go: triggers, possible and unread nights, the frost clock. stand.go:
//     species, new stands, land that has always stood, what lingers. walks.go: clean,
//     green, kill confirmed, doubted heights.
//   - prussic.go: the grazing lines. swath.go: the swath and what of a stand is cut.
//     hcn.go: HCN results.
//   - gathering.go: who gathers nitrate this season (nitrogen, weeds in sod, frosts).
//     nitrate.go: stresses, samples, the answer. nitratetables.go: what the tables say
//     of a value.
//   - lots.go, water.go (stock water by source and herd), vet.go, notices.go (what every
//     list prints besides), ask.go (what a log and a plan ask besides the answers),
//     record.go (the record laid open for comparison).
package hazard
