package sound

import "golang.org/x/sys/unix"

// confine bounds the address space of a process that was started, and the time
// it may keep a processor busy.
func confine(pid int) {
	unix.Prlimit(pid, unix.RLIMIT_AS, &unix.Rlimit{Cur: maxMemory, Max: maxMemory}, nil)
	busy := uint64(2 * MaxDecode.Seconds())
	unix.Prlimit(pid, unix.RLIMIT_CPU, &unix.Rlimit{Cur: busy, Max: busy}, nil)
}
