package packaging

import (
	"context"
	"crypto/tls"
	"fmt"
	"io"
	"maps"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// bare returns the folder of a fresh Debian of this machine's own release: what is essential, apt, systemd and sudo.
// It is fetched once for a machine.
func bare(t *testing.T) string {
	t.Helper()
	checked(t)
	if os.Getuid() != 0 {
		t.Skip("only root makes a Debian to try it in")
	}
	if out, err := exec.Command("unshare", "--mount", "--pid", "--fork", "true").CombinedOutput(); err != nil {
		t.Skipf("this machine lets nobody mount what a Debian needs: %s", out)
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Fatal(err)
	}
	suite := strings.TrimSpace(run(t, ".", "sh", "-c", `. /etc/os-release && echo "$VERSION_CODENAME"`))
	kept := filepath.Join(cache, "undertray-bare", suite+".tar")
	if _, err := os.Stat(kept); err != nil {
		if err := os.MkdirAll(filepath.Dir(kept), 0o755); err != nil {
			t.Fatal(err)
		}
		sources, err := filepath.Glob("/etc/apt/sources.list.d/debian.sources")
		if err != nil || len(sources) == 0 {
			sources = []string{"/etc/apt/sources.list"}
		}
		run(t, ".", "mmdebstrap", "--quiet", "--variant=minbase", "--include=systemd,sudo", "--format=tar", suite,
			kept+".new", sources[0])
		if err := os.Rename(kept+".new", kept); err != nil {
			t.Fatal(err)
		}
	}
	root := t.TempDir()
	run(t, root, "tar", "-xf", kept, "-C", root, "--exclude=./dev/*")
	if err := os.Chmod(root, 0o755); err != nil {
		t.Fatal(err)
	}
	return root
}

// plain is the surrounding of every command inside.
var plain = []string{"PATH=/usr/sbin:/usr/bin:/sbin:/bin", "LC_ALL=C.UTF-8", "DEBIAN_FRONTEND=noninteractive"}

// within is a command inside the Debian in root, in a process and mount space of its own that ends with it.
func within(root string, args ...string) *exec.Cmd {
	enter := `mount --rbind /dev "$0/dev" && mount -t proc proc "$0/proc" && exec chroot "$0" "$@"`
	cmd := exec.Command("unshare", "--mount", "--pid", "--fork", "--kill-child", "sh", "-c", enter, root)
	cmd.Args, cmd.Env = append(cmd.Args, args...), append(plain, "HOME=/tmp")
	return cmd
}

func inside(t *testing.T, root, script string) string {
	t.Helper()
	out, err := within(root, "sh", "-ec", script).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", script, err, out)
	}
	return string(out)
}

// await asks until it is so.
func await(t *testing.T, what string, so func() error) {
	t.Helper()
	end := time.Now().Add(2 * time.Minute)
	for err := so(); err != nil; err = so() {
		if time.Now().After(end) {
			t.Fatalf("it does not come: %s: %v", what, err)
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// TestBareDebian: from nothing to the served demo by the package alone, as somebody without rights; taken off again, it
// leaves the yard.
func TestBareDebian(t *testing.T) {
	if !soaked() {
		t.Skip("a bare Debian is made in the soak")
	}
	root, out := bare(t), trial(t)
	run(t, out, "sh", "-c", `cp *.deb "$0/tmp/"`, root)
	inside(t, root, `cd /tmp && dpkg -i ./*.deb && undertray --version && getent passwd undertray`)
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, port, _ := net.SplitHostPort(free.Addr().String())
	free.Close()
	demo := within(root, "runuser", "-u", "nobody", "--", "undertray", "demo", "--listen", "localhost:"+port)
	var says strings.Builder
	demo.Stdout, demo.Stderr = &says, &says
	if err := demo.Start(); err != nil {
		t.Fatal(err)
	}
	defer demo.Wait()
	defer demo.Process.Kill()
	await(t, "the demo", func() error { return shows(http.DefaultClient, "http://127.0.0.1:"+port+"/", "Alder Fen") })
	inside(t, root, `install -d -o undertray /var/lib/undertray && touch /var/lib/undertray/journal.db
		dpkg --purge undertray && ! which undertray && ls /var/lib/undertray/journal.db`)
}

// booted is a Debian whose systemd runs, in a network of its own.
type booted struct {
	t    *testing.T
	root string
	pid  string
}

func boot(t *testing.T, root string) *booted {
	t.Helper()
	program, err := exec.LookPath("systemd-nspawn")
	if err != nil {
		t.Skip("no systemd-nspawn (Debian: systemd-container)")
	}
	cmd := exec.Command(program, "--register=no", "--keep-unit", "--quiet", "--private-network",
		"--machine=undertray-test", "-D", root, "--boot")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	b := &booted{t: t, root: root}
	t.Cleanup(func() {
		if t.Failed() {
			out, _ := b.try("journalctl --no-pager -n 60 -u undertray; systemctl status --no-pager undertray")
			t.Log(out)
		}
		cmd.Process.Signal(syscall.SIGTERM)
		done := make(chan error, 1)
		go func() { done <- cmd.Wait() }()
		select {
		case <-done:
		case <-time.After(20 * time.Second):
			cmd.Process.Kill()
			<-done
		}
	})
	await(t, "the first process", func() error {
		out, err := exec.Command("pgrep", "-P", fmt.Sprint(cmd.Process.Pid)).Output()
		b.pid = strings.TrimSpace(string(out))
		return err
	})
	await(t, "the system", func() error {
		_, err := b.try("systemctl is-active --quiet multi-user.target")
		return err
	})
	return b
}

func (b *booted) try(script string) (string, error) {
	cmd := exec.Command("nsenter", "-t", b.pid, "-m", "-u", "-i", "-n", "-p", "-r", "-w", "sh", "-ec",
		"cd /root; "+script)
	cmd.Env = append(plain, "HOME=/root")
	out, err := cmd.CombinedOutput()
	return string(out), err
}

func (b *booted) do(script string) string {
	b.t.Helper()
	out, err := b.try(script)
	if err != nil {
		b.t.Fatalf("%s: %v\n%s", script, err, out)
	}
	return out
}

// dial opens a connection in the network of the Debian; the thread that was there is given up.
func (b *booted) dial(_ context.Context, network, address string) (c net.Conn, err error) {
	done := make(chan struct{})
	go func() {
		defer close(done)
		runtime.LockOSThread()
		space, openErr := os.Open("/proc/" + b.pid + "/ns/net")
		if err = openErr; err != nil {
			return
		}
		defer space.Close()
		if err = unix.Setns(int(space.Fd()), unix.CLONE_NEWNET); err == nil {
			c, err = net.Dial(network, strings.Replace(address, "localhost", "127.0.0.1", 1))
		}
	}()
	<-done
	return c, err
}

// answers waits for a page of the service to hold something, asked from within its network.
func (b *booted) answers(address, want string) {
	b.t.Helper()
	c := &http.Client{Timeout: 20 * time.Second, Transport: &http.Transport{DisableKeepAlives: true,
		TLSClientConfig: &tls.Config{InsecureSkipVerify: true}, DialContext: b.dial}}
	await(b.t, address, func() error { return shows(c, address, want) })
}

// shows tells what a page lacks.
func shows(c *http.Client, address, want string) error {
	res, err := c.Get(address)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	src, err := io.ReadAll(res.Body)
	if err == nil && (res.StatusCode != http.StatusOK || !strings.Contains(string(src), want)) {
		err = fmt.Errorf("%s, without %q: %.300s", res.Status, want, src)
	}
	return err
}

// TestAtHomePage types docs/at-home.md as it stands, in a bare Debian whose systemd runs, and looks after each part at
// what it promises.
func TestAtHomePage(t *testing.T) {
	if !soaked() {
		t.Skip("starts a whole Debian: run by scripts/soak")
	}
	root, out, newer := bare(t), trial(t), t.TempDir()
	old := only(t, filepath.Join(out, "*.deb"))
	run(t, newer, "sh", "-ec", `dpkg-deb -R "$0" it && sed -i 's/^Version: .*/&+1/' it/DEBIAN/control &&
		dpkg-deb -Zgzip -z1 --root-owner-group -b it undertray_newer.deb && rm -r it`, old)
	if err := os.MkdirAll(filepath.Join(root, "mnt"), 0o755); err != nil {
		t.Fatal(err)
	}
	put := func(deb string) {
		run(t, root, "sh", "-ec", `rm -f root/*.deb; cp "$0" root/`, deb)
	}
	run(t, out, "sh", "-ec", `cp * "$0/root/"`, root)
	src, err := os.ReadFile("../docs/at-home.md")
	if err != nil {
		t.Fatal(err)
	}
	b := boot(t, root)
	started := func() string { return b.do("systemctl show -p MainPID --value undertray") }
	after := map[string]func(){
		"undertray --version": func() {
			if _, err := b.try("ls /etc/systemd/system/*.wants/undertray.service"); err == nil {
				t.Error("it is enabled without being told")
			}
		},
		"sudo systemctl enable --now undertray": func() {
			b.answers("http://localhost:8337/", "no vehicles yet")
			b.do("systemctl is-enabled undertray")
		},
		`sudo -u undertray undertray --yard /var/lib/undertray odometer wren "152300 km"`: func() {
			b.answers("http://localhost:8337/", "Wren")
			kept := b.do("cd /var/lib/undertray; stat -c '%U %a' . journal.db")
			if kept != "undertray 700\nundertray 600\n" {
				t.Errorf("the yard's folder and journal: %s", kept)
			}
		},
		"--listen": func() { b.answers("https://localhost:8337/login", "ass-phrase") },
		"--proxy":  func() { b.answers("http://localhost:8337/login", "ass-phrase") },
		"sudo apt-get install ./undertray_*.deb": func() {
			b.answers("http://localhost:8337/login", "ass-phrase")
		},
		"sudo systemctl start undertray": func() {
			b.answers("http://localhost:8337/login", "ass-phrase")
			b.do("ls -d /var/lib/undertray/replaced-*")
		},
		"sudo cp /var/lib/undertray/yard.tar.gz /mnt/": func() { b.do("tar -tzf /mnt/yard.tar.gz | grep wren") },
	}
	typed := 0
	steps := regexp.MustCompile("(?m)^    (\\S.*)$|(?s:```file=(\\S+)\n(.*?)```)")
	for _, step := range steps.FindAllStringSubmatch(string(src), -1) {
		line, file, content := step[1], step[2], step[3]
		switch {
		case file != "":
			if err := os.WriteFile(filepath.Join(root, file), []byte(content), 0o644); err != nil {
				t.Fatal(err)
			}
			line = ""
		case line == "undertray demo":
			b.do(`setpriv --reuid=65534 --regid=65534 --clear-groups undertray demo >/tmp/demo 2>&1 & echo $! >/tmp/pid`)
			b.answers("http://localhost:8337/", "Alder Fen")
			b.do(`kill $(cat /tmp/pid); while kill -0 $(cat /tmp/pid) 2>/dev/null; do sleep 0.1; done`)
		case strings.Contains(line, "apt-get install") && typed > 4:
			was := started()
			if put(filepath.Join(newer, "undertray_newer.deb")); strings.Contains(line, "downgrade") {
				put(old)
			}
			b.do(strings.Replace(line, "install", "install -y", 1))
			if !strings.Contains(line, "downgrade") && started() == was {
				t.Error("the service was not started anew by the upgrade")
			}
		default:
			b.do(line)
		}
		if line == "sudo systemctl restart undertray" { // with what was written last
			options, err := os.ReadFile(filepath.Join(root, "etc/default/undertray"))
			if err != nil {
				t.Fatal(err)
			}
			line = strings.Fields(strings.Trim(strings.TrimPrefix(string(options), "OPTIONS="), "\"\n"))[0]
		}
		if look := after[line]; look != nil && (typed > 1) {
			look()
			delete(after, line)
		}
		typed++
	}
	if len(after) > 0 || typed < 20 {
		t.Errorf("%d lines typed; not looked at: %q", typed, slices.Collect(maps.Keys(after)))
	}
	// What the kernel lets the service do.
	status := b.do("cat /proc/" + strings.TrimSpace(started()) + "/status")
	for _, want := range []string{"NoNewPrivs:\t1", "Seccomp:\t2", "CapEff:\t0000000000000000",
		"CapBnd:\t0000000000000000"} {
		if !strings.Contains(status, want) {
			t.Errorf("the service runs without %s:\n%s", want, status)
		}
	}
	b.do(`apt-get purge -y undertray; test -e /var/lib/undertray/journal.db
		! test -L /etc/systemd/system/multi-user.target.wants/undertray.service`)
}

// TestREADME: from nothing to the served demo by the command of README.md, with Go, make and the modules at hand.
func TestREADME(t *testing.T) {
	if !soaked() {
		t.Skip("builds the program in a Debian of its own: run by scripts/soak")
	}
	readme, err := os.ReadFile("../README.md")
	if err != nil || !strings.Contains(string(readme), "\n    make demo ") {
		t.Fatal("the page says another command", err)
	}
	root := bare(t)
	here, err := filepath.Abs("..")
	if err != nil {
		t.Fatal(err)
	}
	run(t, root, "git", "clone", "-q", here, filepath.Join(root, "opt", "undertray"))
	// What a newcomer has beside it: make from Debian, Go from its makers, and the modules, as they lie here.
	run(t, root, "sh", "-ec", `cp "$(command -v make)" "$0/usr/bin/"; mkdir -p "$0/usr/local/go" "$0/go" "$0/cache"`, root)
	script := `mount --bind "$1" "$0/usr/local/go"; mount --bind "$2" "$0/go"; mount --bind "$3" "$0/cache"
		mount --rbind /dev "$0/dev"; mount -t proc proc "$0/proc"; ip link set lo up
		exec chroot "$0" sh -c "cd /opt/undertray && exec make demo"`
	demo := exec.Command("unshare", "--mount", "--pid", "--net", "--fork", "--kill-child", "sh", "-ec", script, root)
	demo.Args = append(demo.Args, strings.Fields(run(t, "..", "go", "env", "GOROOT", "GOMODCACHE", "GOCACHE"))...)
	demo.Env = append(plain, "HOME=/tmp", "PATH=/usr/local/go/bin:/usr/bin:/usr/sbin:/bin:/sbin", "GOMODCACHE=/go",
		"GOCACHE=/cache", "GOPROXY=off", "GOTOOLCHAIN=local", "GOFLAGS=-trimpath") // so that the cache serves
	said, err := os.Create(filepath.Join(t.TempDir(), "said"))
	if err != nil {
		t.Fatal(err)
	}
	defer said.Close()
	demo.Stdout, demo.Stderr = said, said
	if err := demo.Start(); err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- demo.Wait() }()
	defer func() { demo.Process.Kill(); <-done }()
	for served := false; !served; {
		select {
		case err := <-done:
			done <- err
			src, _ := os.ReadFile(said.Name())
			t.Fatalf("make demo ended: %v\n%s", err, src)
		case <-time.After(time.Second):
		}
		src, err := os.ReadFile(said.Name())
		if err != nil {
			t.Fatal(err)
		}
		served = strings.Contains(string(src), "Open http://localhost:8337/")
	}
	b := &booted{t: t, root: root, pid: strings.TrimSpace(run(t, root, "pgrep", "-P", fmt.Sprint(demo.Process.Pid)))}
	b.answers("http://localhost:8337/", "Alder Fen")
}

// TestCheckOnABareDebian: the other command of README.md, make check, from nothing but Go, make and git: every package,
// module and page checker is fetched by it. It takes as long as a check, and is none of one.
func TestCheckOnABareDebian(t *testing.T) {
	if !soaked() {
		t.Skip("a whole check in a Debian of its own: run by scripts/soak")
	}
	root := bare(t)
	here, err := filepath.Abs("..")
	if err != nil {
		t.Fatal(err)
	}
	run(t, root, "git", "clone", "-q", here, filepath.Join(root, "opt", "undertray"))
	run(t, root, "sh", "-ec", `if test -d "$1/../shared"; then cp -rL "$1/../shared" "$0/opt/"; fi
		cp -rL "$(go env GOROOT)" "$0/usr/local/go"; cp /etc/resolv.conf "$0/etc/"`, root, here)
	inside(t, root, "apt-get update -qq && apt-get install -y -qq --no-install-recommends make git ca-certificates")
	trusted := "/etc/ssl/certs/ca-certificates.crt" // whom this machine trusts on its way out
	run(t, root, "cp", trusted, filepath.Join(root, trusted))
	check := within(root, "sh", "-ec", "cd /opt/undertray && exec make check")
	check.Env = append(plain, "HOME=/root", "PATH=/usr/local/go/bin:/usr/sbin:/usr/bin:/sbin:/bin", "GOTOOLCHAIN=local",
		"NODE_EXTRA_CA_CERTS="+trusted)
	said, err := check.CombinedOutput()
	if err != nil {
		t.Errorf("make check: %v", err)
	}
	t.Logf("%s", said[max(0, len(said)-20000):])
}
