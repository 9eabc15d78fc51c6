// Package calendar turns a plan into entries of a calendar: visits, ordering,
// looks, and the days on which limits are reached.
package calendar
