// Package farm holds the use cases of the program: open the farm's journal,
// answer for a day with what was known at a moment, log entries and say what
// they changed, bring in readings, write the invented demo farm. Command line
// and screens call it; it knows neither.
package farm
