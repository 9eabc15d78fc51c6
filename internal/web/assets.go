package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"html/template"
	"io"
	"io/fs"
	"maps"
	"mime"
	"net/http"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
)

//go:embed static
var staticFiles embed.FS

// readerFiles are what scripts/reader built, if it ran before the program was built.
//
//go:embed all:reader
var readerFiles embed.FS

// The files of the reader that pictures of belts are counted by on a device.
const (
	readerName   = "reader.wasm"
	readerLoader = "wasm_exec.js" // of Go
	readerWorker = "count-worker.js"
)

// assets are the style, script and drawings of the pages. All stand under one
// address that is made from their content, so that a browser may keep them for
// ever and modules can import each other by name.
type assets struct {
	build string
	files map[string]file
}

type file struct {
	media string
	plain []byte        // nil: it is sent compressed alone
	gzip  func() []byte // the same compressed, when first asked for
}

func newFile(name string, src []byte) file {
	return file{media: media(name), plain: src, gzip: sync.OnceValue(func() []byte {
		return squeeze(src, gzip.BestCompression)
	})}
}

// remarks are the lines of a script or a style that are read by people alone: a fifth of what a page loads.
var remarks = regexp.MustCompile(`(?m)^[ \t]*(//.*|/\*([^*]|\*+[^*/])*\*+/[ \t]*)\n`)

func loadAssets() (*assets, error) {
	a := &assets{files: map[string]file{}}
	sum := sha256.New()
	err := fs.WalkDir(staticFiles, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		src, err := staticFiles.ReadFile(name)
		if err != nil {
			return err
		}
		if ext := path.Ext(name); ext == ".js" || ext == ".css" {
			src = remarks.ReplaceAll(src, nil)
		}
		fmt.Fprintf(sum, "%s %d\n", name, len(src))
		sum.Write(src)
		a.files[path.Base(name)] = newFile(name, src)
		return nil
	})
	a.addDrawing(sum)
	a.addReader(sum)
	a.build = hex.EncodeToString(sum.Sum(nil))[:12]
	return a, err
}

// addDrawing adds the style that drawings and marks share with the pages.
func (a *assets) addDrawing(sum hash.Hash) {
	src := []byte(draw.ThemeCSS() + draw.ClassCSS())
	sum.Write(src)
	a.files["draw.css"] = newFile("draw.css", src)
}

// addReader adds the reader, where the program has one.
func (a *assets) addReader(sum hash.Hash) {
	packed, err := readerFiles.ReadFile("reader/" + readerName + ".gz")
	loader, errLoader := readerFiles.ReadFile("reader/" + readerLoader)
	if err != nil || errLoader != nil {
		return
	}
	sum.Write(packed)
	sum.Write(loader)
	a.files[readerLoader] = newFile(readerLoader, loader)
	a.files[readerName] = file{media: "application/wasm", gzip: func() []byte { return packed }}
}

// readerSize says how much of the wire the reader takes, or "" where there is none.
func (a *assets) readerSize() string {
	f, ok := a.files[readerName]
	if !ok {
		return ""
	}
	return fmt.Sprintf("%d kB", (len(f.gzip())+500)/1000)
}

// marks returns the mark of each verdict, to stand before its word.
func marks() (map[fleet.Verdict]template.HTML, error) {
	out := map[fleet.Verdict]template.HTML{}
	for v := fleet.Unseen; v <= fleet.Park; v++ {
		svg, err := draw.MarkSVG(advise.DrawnVerdict(v))
		if err != nil {
			return nil, err
		}
		out[v] = template.HTML(svg)
	}
	return out, nil
}

// media returns the media type of a file. The system's own table is not asked
// for script and style: on some machines it is wrong.
func media(name string) string {
	switch path.Ext(name) {
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".svg":
		return "image/svg+xml"
	case ".woff2": // RFC 8081
		return "font/woff2"
	case ".webmanifest": // W3C, Web Application Manifest
		return "application/manifest+json"
	}
	return mime.TypeByExtension(path.Ext(name))
}

// squeeze returns src compressed at a level of gzip, or nil where that failed: the plain file is
// then sent.
func squeeze(src []byte, level int) []byte {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, level)
	if err != nil {
		return nil
	}
	if _, err := w.Write(src); err != nil || w.Close() != nil {
		return nil
	}
	return b.Bytes()
}

// unsqueeze undoes squeeze.
func unsqueeze(src []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(src))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

// address returns where a file is served; it panics on a name that is not one
// of the program's own files.
func (a *assets) address(name string) string {
	if _, ok := a.files[name]; !ok {
		panic("web: there is no static file " + name)
	}
	return "/assets/" + a.build + "/" + name
}

// addresses lists where the files are served that pages are drawn with.
func (a *assets) addresses() []string {
	var out []string
	for _, name := range slices.Sorted(maps.Keys(a.files)) {
		// What counts on pictures is fetched by the page that does, and kept then.
		if name != "keeper.js" && name != readerName && name != readerLoader && !strings.HasPrefix(name, "count") {
			out = append(out, a.address(name))
		}
	}
	return out
}

// asset serves one file. An old build's address gives the present file, but is
// not to be kept.
func (s *Server) asset(w http.ResponseWriter, r *http.Request) error {
	f, ok := s.assets.files[r.PathValue("name")]
	if !ok {
		f, ok = s.plateFile(r.PathValue("name"), s.inLanguage(r))
	}
	if !ok {
		return &fleet.Error{Kind: fleet.NotFound, Msg: "there is no such file", Hint: "load the page again"}
	}
	if r.PathValue("build") == s.assets.build {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	if r.PathValue("name") == readerWorker { // it alone may run what is not script
		w.Header().Set("Content-Security-Policy", policy+"; script-src 'self' 'wasm-unsafe-eval'")
	}
	return f.send(w, r)
}

// send writes a file, compressed where the reader takes it so.
func (f file) send(w http.ResponseWriter, r *http.Request) error {
	h := w.Header()
	h.Set("Content-Type", f.media)
	h.Set("Vary", "Accept-Encoding")
	body, packed := f.plain, f.plain == nil
	if takesGzip(r) {
		if small := f.gzip(); small != nil && (len(small) < len(body) || packed) {
			body = small
			h.Set("Content-Encoding", "gzip")
		}
	}
	var err error
	if body == nil {
		if body, err = unsqueeze(f.gzip()); err != nil {
			return err
		}
	}
	_, err = w.Write(body)
	return quiet(err)
}

// keeper serves the script that keeps sheets on the device, at an address that
// never changes and from which it may see every page.
func (s *Server) keeper(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Cache-Control", "no-cache")
	f := s.assets.files["keeper.js"]
	if l := s.inLanguage(r); l != nil {
		said, err := json.Marshal(map[string]any{"lang": l.Code(), "words": inScripts(l)})
		if err != nil {
			return err
		}
		f = newFile("keeper.js", slices.Concat([]byte("Object.assign(self, "), said, []byte(");\n"), f.plain))
	}
	return f.send(w, r)
}

func takesGzip(r *http.Request) bool {
	for enc := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		name, q, _ := strings.Cut(strings.TrimSpace(enc), ";")
		if name == "gzip" {
			return strings.ReplaceAll(q, " ", "") != "q=0"
		}
	}
	return false
}

// quiet drops the error of a reader who has gone away: nobody is left to tell.
func quiet(error) error { return nil }
