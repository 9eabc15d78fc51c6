// Package along answers "I shall be in there anyway: what else?": what to change
// along with parts that are changed on a day, priced as the vehicle's plan prices.
package along
