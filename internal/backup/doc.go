// Package backup writes a whole yard into one file and puts it back: the
// journal with its pictures and recordings, the vehicle sheets, the owner's own
// catalogue files and the settings. Moving to a new machine, or from one store
// to another, is a backup and a restore.
//
// # The file
//
// A gzip-compressed tar archive (RFC 1952; POSIX.1-1988 ustar) of
//
//	backup.json        what it is, when it was made, how many entries, their digest
//	yard.yaml          where there is one
//	vehicles/*.yaml
//	catalogue/*.yaml
//	journal.jsonl      the journal as package journal exports it
//	SHA256SUMS         a line for every file above, as sha256sum writes them
//
// so that it can be read without this program. The pass-phrase is not in it.
//
// # Method
//
// The journal is written as it is at one moment while others go on writing. The
// digest of what was written is compared with the journal's own; then the whole
// file is read back before it gets its name. Restoring checks all of it before
// anything is touched, keeps what it replaces in a folder beside it, and
// compares the result with the backup.
package backup
