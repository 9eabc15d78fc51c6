package schedulebench

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"undertray.example/undertray/schedule"
)

// Answer is what cbc found.
type Answer struct {
	Infeasible bool
	Proven     bool
	Found      bool // a plan was found
	Cost       float64
	CPU        time.Duration // user and system time of the process
}

// CBCPath is where the solver is, empty if it is not installed.
func CBCPath() string {
	p, err := exec.LookPath("cbc")
	if err != nil {
		return ""
	}
	return p
}

// CBC solves p with cbc on one thread within seconds. dir takes the model and
// the answer. Held doings are in every plan it looks at.
func CBC(dir string, p *schedule.Problem, seconds int, held ...schedule.Doing) (Answer, error) {
	model, answer := filepath.Join(dir, "model.lp"), filepath.Join(dir, "answer.txt")
	f, err := os.Create(model)
	if err != nil {
		return Answer{}, err
	}
	if err := WriteLP(f, p, held...); err != nil {
		return Answer{}, err
	}
	if err := f.Close(); err != nil {
		return Answer{}, err
	}
	cmd := exec.Command(CBCPath(), model, "ratioGap", "0", "allowableGap", "0", "seconds", strconv.Itoa(seconds),
		"solve", "solution", answer)
	log, err := cmd.CombinedOutput()
	if err != nil {
		return Answer{}, fmt.Errorf("cbc: %w\n%s", err, log)
	}
	a := Answer{CPU: cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
	b, err := os.ReadFile(answer)
	if err != nil {
		return a, fmt.Errorf("cbc wrote no answer: %w\n%s", err, log)
	}
	first, _, _ := strings.Cut(string(b), "\n")
	a.Infeasible = strings.HasPrefix(first, "Infeasible") || strings.HasPrefix(first, "Integer infeasible")
	a.Proven = strings.HasPrefix(first, "Optimal")
	if i := strings.Index(first, "objective value"); i >= 0 && !a.Infeasible {
		a.Cost, err = strconv.ParseFloat(strings.TrimSpace(first[i+len("objective value"):]), 64)
		a.Found = err == nil && a.Cost < 1e40 && !strings.Contains(first, "no integer solution")
	}
	return a, nil
}
