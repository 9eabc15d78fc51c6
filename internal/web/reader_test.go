package web

import (
	"bytes"
	"encoding/json"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/message/languages"
	"undertray.example/undertray/internal/tally"
	"undertray.example/undertray/internal/tally/onbelt"
)

// builtIn is the reader that the program holds, unpacked. Without one the test is skipped, and fails in the check.
func builtIn(t *testing.T) []byte {
	t.Helper()
	packed, err := readerFiles.ReadFile("reader/reader.wasm.gz")
	if err != nil {
		if os.Getenv("UNDERTRAY_CHECK") != "" {
			t.Fatal("the program was built without the reader: run scripts/reader")
		}
		t.Skip("built without the reader")
	}
	out, err := unsqueeze(packed)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// The reader is what the sources give: built once more it is the same to the byte.
func TestTheReaderIsWhatTheSourcesGive(t *testing.T) {
	held := builtIn(t)
	dir := t.TempDir()
	if out, err := exec.Command("../../scripts/reader", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	packed, err := os.ReadFile(filepath.Join(dir, "reader.wasm.gz"))
	if err != nil {
		t.Fatal(err)
	}
	built, err := unsqueeze(packed)
	if err != nil {
		t.Fatal(err)
	}
	loader, err := os.ReadFile(filepath.Join(dir, "wasm_exec.js"))
	if err != nil {
		t.Fatal(err)
	}
	heldLoader, err := readerFiles.ReadFile("reader/wasm_exec.js")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(held, built) || !bytes.Equal(heldLoader, loader) {
		t.Error("the reader is not what the sources give: run scripts/reader")
	}
}

// onNode runs the reader as a browser's worker does, on a picture, and writes what it says.
const onNode = `import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
globalThis.require = createRequire(import.meta.url);
(0, eval)(readFileSync("wasm_exec.js", "utf8"));
const go = new Go(), { instance } = await WebAssembly.instantiate(readFileSync("reader.wasm"), go.importObject);
go.run(instance);
const [wide, high, of] = process.argv.slice(2), answer = readBelt(of, readFileSync("grey"), +wide, +high);
if (answer.error) throw new Error(answer.error);
const again = countAgain(of, answer.seen, +wide / 2, +high / 2);
process.stdout.write("[" + answer.seen + "," + again.seen + "]", () => process.exit(0));
`

// On a device is read what the server reads: the same ribs and marks, and a mark added by hand counts alike.
func TestTheReaderSaysWhatTheServerSays(t *testing.T) {
	dir := t.TempDir()
	loader, err := readerFiles.ReadFile("reader/wasm_exec.js")
	held := builtIn(t)
	if err != nil {
		t.Fatal(err)
	}
	p := crackedBelt()
	for name, src := range map[string][]byte{"reader.wasm": held, "wasm_exec.js": loader, "run.mjs": []byte(onNode),
		"grey": p.Pix} {
		if err := os.WriteFile(filepath.Join(dir, name), src, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not here")
	}
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	at, err := tally.AnyPlace(cat, "", "PK")
	if err != nil {
		t.Fatal(err)
	}
	for _, in := range []*message.Language{nil, languages.With(catalogue.Texts).Pseudo} {
		of, err := json.Marshal(at.Told(in))
		if err != nil {
			t.Fatal(err)
		}
		run := exec.Command(node, "run.mjs", "800", "1300", string(of))
		run.Dir, run.Stderr = dir, os.Stderr
		out, err := run.Output()
		if err != nil {
			t.Fatal(err)
		}
		var got [2]onbelt.Seen
		if err := json.Unmarshal(out, &got); err != nil {
			t.Fatalf("%v: %.300s", err, out)
		}
		sameAsHere(t, p, at, in, got)
	}
}

// sameAsHere compares what a device read and counted again with what the server does, in a language.
func sameAsHere(t *testing.T, p *image.Gray, at *tally.Place, in *message.Language, got [2]onbelt.Seen) {
	t.Helper()
	want, err := onbelt.Read(p, at.Options())
	if err != nil {
		t.Fatal(err)
	}
	for i := range got {
		if i == 1 {
			want.Add(400, 650)
			want.Again()
		}
		g := &got[i]
		if g.Headline.String() != want.Headline.In(in) || g.Basis[0].String() != want.Basis[0].In(in) ||
			g.Marks != want.Marks || g.ByHand != i || g.Version != want.Version ||
			len(g.Frame.Stations) != len(want.Frame.Stations) {
			t.Fatalf("%q with %d marks, %d by hand; the server says %q with %d", g.Headline, g.Marks, g.ByHand,
				want.Headline.In(in), want.Marks)
		}
		for k, s := range g.Frame.Stations {
			for n, l := range s.Lines {
				if w := want.Frame.Stations[k].Lines[n]; math.Hypot(l.X-w.X, l.Y-w.Y) > 0.01 {
					t.Fatalf("line %d at station %d is %v, on the server %v", n, k, l, w)
				}
			}
		}
	}
}
