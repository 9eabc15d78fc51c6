package listen

import (
	"bytes"
	"os"
	"runtime"
	"sync/atomic"
	"syscall"
	"testing"
	"time"
)

// benchFile is the recording bench/listen.sh made, or a like one.
func benchFile(b *testing.B) []byte {
	b.Helper()
	if p := os.Getenv("UNDERTRAY_BENCH_WAV"); p != "" {
		f, err := os.ReadFile(p)
		if err != nil {
			b.Fatal(err)
		}
		return f
	}
	r := drifting(30, 0, 3.0531, 30)
	return wavFile(1, 16, 1, 48000, r.Channels[0][:480000], false)
}

// BenchmarkDiagnose reads and diagnoses ten seconds at 48 kHz; cpu-ns/op is time of the processor, all cores together.
func BenchmarkDiagnose(b *testing.B) {
	file := benchFile(b)
	from := processor(b)
	for b.Loop() {
		readAndDiagnose(b, file)
	}
	b.ReportMetric(float64(processor(b)-from)/float64(b.N), "cpu-ns/op")
}

// processor is the time this process has had of it.
func processor(b *testing.B) time.Duration {
	var use syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &use); err != nil {
		b.Fatal(err)
	}
	return time.Duration(use.Utime.Nano() + use.Stime.Nano())
}

func readAndDiagnose(b *testing.B, file []byte) (samples int) {
	r, err := ReadWAV(bytes.NewReader(file))
	if err != nil {
		b.Fatal(err)
	}
	if _, err := Diagnose(r, Speed{30, 0.02}, []Bearing{shelf["6203"]}); err != nil {
		b.Fatal(err)
	}
	return len(r.Channels[0])
}

// BenchmarkDiagnoseMemory reports as x-recording the highest heap in use while one recording is read and diagnosed,
// seen every millisecond, garbage not yet collected included, over the size of the recording as float64 samples.
func BenchmarkDiagnoseMemory(b *testing.B) {
	file := benchFile(b)
	var m runtime.MemStats
	worst := 0.0
	for b.Loop() {
		runtime.GC()
		runtime.ReadMemStats(&m)
		base := m.HeapAlloc
		var peak atomic.Uint64
		done := make(chan struct{})
		go watch(&peak, done)
		samples := readAndDiagnose(b, file)
		close(done)
		worst = max(worst, float64(max(peak.Load(), base)-base)/float64(8*samples))
	}
	b.ReportMetric(worst, "x-recording")
}

func watch(peak *atomic.Uint64, done chan struct{}) {
	var m runtime.MemStats
	for {
		select {
		case <-done:
			return
		case <-time.After(time.Millisecond):
			runtime.ReadMemStats(&m)
			peak.Store(max(peak.Load(), m.HeapAlloc))
		}
	}
}
