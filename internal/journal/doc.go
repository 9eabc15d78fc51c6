// Package journal keeps entries and their attachments: it appends, never
// changes and never deletes.
//
// # Question answered
//
// What was done, when, at what distance, with which part: the entries as they
// were recorded, in the order of their ids. UUIDs of version 7 sort by the
// moment they were made, so this is the order of recording, whichever device
// an entry came from.
//
// # Method
//
// Store is the interface. SQLite keeps everything in one file, Postgres in a
// schema of a database; Memory keeps it in memory, for tests and for the demo. Package journaltest holds the tests
// that every store must pass.
//
// Everything that lands in one call of Append or Land lands in one transaction,
// or nothing does. Landing an entry twice is harmless: the id is there already
// and the second one is passed over. Whether two entries with one id say the
// same is judged without Batch and Recorded, which are filled in by whoever
// receives an entry; an entry with a known id that says something else is a
// fleet.Conflict.
//
// Keep lands the entries of one form once, by what they say: within the one
// transaction the batch that the form brings is looked up, what it says already
// is passed over, and what is new lands beside it. A form sent twice, by two
// tabs or by many at once is thus there once, and one that was changed before
// it was sent again loses nothing.
//
// Export writes JSON Lines, Import reads them: all of a file or nothing of it.
// Verify reads everything back and lists what does not hold together.
//
// # Damage
//
// Beside every row stands the checksum of its entry's canonical form, and the
// digest of all entries up to it. The digest does not depend on the order in
// which entries arrived: two journals that hold the same have the same one. A
// small file beside the journal, the mark, keeps the last digest and count; see
// Guard for what it notices and what it cannot.
//
// # The SQLite file
//
// An entry is one row: its JSON as fleet.EncodeEntry writes it, and beside it
// the columns it is looked up by. Triggers refuse every UPDATE, DELETE and
// REPLACE, also from other programs. The file is in write-ahead mode with
// synchronous FULL: what Append has reported is on the disk. One connection
// writes, in immediate transactions, several read. The application id in the
// file's header is "Undr", the user version is the number of the last
// migration applied.
//
// A new file is built under another name and then linked into place, so that a
// file of that name is always a whole journal. A file that is not a journal, is
// damaged, or is of a newer version is refused and left as it is. A journal
// that cannot be written (its file, its folder, the medium) can still be read.
//
// Migrations are numbered SQL files, applied in order, each in a transaction,
// after a backup. The version lives in the file's header, where an older program
// finds it before it reads anything else.
//
// # The PostgreSQL schema
//
// The same rows in a schema of their own, one yard to a schema, with text in
// byte order, so that every store sorts alike. A landing takes an advisory lock
// of the schema first: landings wait for each other, whichever server they come
// from, entries become visible in the order of their arrival, and asking for
// what was touched since (Touched) misses none. A form of which nothing is there
// lands by one statement, which does all this in the database (keep_new); where
// something is, what it says is compared as in every store. To ask for what was
// touched is one look-up in an index for each page, so that what one server lands
// the next page of every other shows, without messages that could be lost.
// Statement triggers refuse every
// UPDATE, DELETE and TRUNCATE.
//
// # Folds
//
// Folds keeps vehicles folded: some in memory, bounded by what they hold, and a
// written copy of each long one in the yard's folder (.kept), which lags behind
// by up to 256 entries. It is keyed by the version of the folding, by what the
// sheet says of its positions and by the journal's digest at the entry it goes
// up to. What arrived since is read by vehicle and arrival and folded on top. A
// correction or an entry that comes late is folded on top of the written copy or
// of the one before it, and where it is older than those, from the start: by
// date, a day at a time, so that no history is ever held whole. Beside them stands, a
// line each, what took long to learn from them, under a digest of all that it was
// learnt from and of the program that did.
//
// # Limits
//
// An attachment holds at most MaxAttachment bytes. Pages about the past (the
// journal, the service record) read all entries of their vehicle;
// BenchmarkEntries compares that with a bare scan of the same rows.
// The file must be on a local disk: write-ahead mode needs shared memory,
// which network file systems do not give. New files are readable by their owner
// only.
//
// # Sources
//
// SQLite: https://sqlite.org/wal.html, https://sqlite.org/pragma.html,
// https://sqlite.org/rescode.html, https://sqlite.org/lang_vacuum.html.
// Ids: RFC 9562, section 5.7. Content hashes: SHA-256, FIPS 180-4.
// JSON Lines: one JSON text (RFC 8259) per line, UTF-8; base64: RFC 4648,
// section 4.
package journal
