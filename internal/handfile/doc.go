// Package handfile writes one vehicle into a file for another yard, and takes such a
// file in: its sheet, its entries, its pictures and recordings, and nothing else of the
// yard it comes from.
//
// # The file
//
// A tar archive (POSIX.1-1988 ustar), not compressed, so that damage stays where it is
// and nothing in it can grow beyond its size. In this order:
//
//	handover.json   what it is, of which vehicle, when it was made, what was left out
//	READ-ME.txt     the same for a person
//	vehicle.yaml    the vehicle sheet
//	entries.sums    a checksum a line for each entry, as the journal keeps it
//	entries.jsonl   the entries in their canonical form, a line each, by id
//	pictures/, recordings/   each under its content hash
//	SHA256SUMS      a line for every file above, as sha256sum writes them
//
// # What is given
//
// What stands, what was corrected with its correction, and of what was withdrawn only
// that it was, not what it said: so a picture that was taken back stays at home, and a
// yard that had the entry from an earlier file learns that it no longer stands. Names of
// files are left out, prices and names where the giver says so. What was written in free
// words goes along as it was written.
//
// # Taking in
//
// Everything is checked before anything is written. Entries keep their ids. If the
// journal has some of them, they say which vehicle it is, and the others join it;
// otherwise the vehicle gets its id, or the next free one behind it. An entry that is
// here already stays as it is here, also where the file says less of it, or more, by
// prices and names; one that says something else is a Conflict. Entries, pictures and
// sheet land in one transaction, the sheet's name last within it: after a loss of power
// at that very moment there may be a sheet without entries, and taking the file in again
// settles it.
//
// # What it does not show
//
// The checksums show damage, and where. They do not show who wrote the file: whoever
// changes it can change them along.
package handfile
