// Package forage answers how much a herd eats and for how long a paddock feeds
// it: animal units, demand, standing feed as measured on walks, and head-days.
//
// What was not measured is said to be unknown, never guessed. Inside, weights
// are kg of dry matter, areas ha, heights cm. The package imports fields and
// the standard library only; it knows no flags.
package forage
