//go:build js && wasm

// Command reader reads pictures of belts in a browser, so that they go nowhere: package onbelt built for it. A page
// runs it in a worker, see internal/web/static/count-worker.js.
package main

import (
	"encoding/json"
	"image"
	"syscall/js"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/tally/onbelt"
)

func main() {
	js.Global().Set("readBelt", js.FuncOf(read))
	js.Global().Set("countAgain", js.FuncOf(again))
	select {}
}

// read takes what it is told, in JSON, the light of a picture, a byte a pixel, its width and height, and returns what
// is seen, or an error.
func read(_ js.Value, args []js.Value) any {
	var t onbelt.Told
	if err := json.Unmarshal([]byte(args[0].String()), &t); err != nil {
		return answer(t, nil, err)
	}
	p := image.NewGray(image.Rect(0, 0, args[2].Int(), args[3].Int()))
	js.CopyBytesToGo(p.Pix, args[1])
	s, err := onbelt.Read(p, t.Options)
	return answer(t, s, err)
}

// again takes what it is told and what was seen, with what was struck out, and in x and y where a mark is added, if one
// is.
func again(_ js.Value, args []js.Value) any {
	var t onbelt.Told
	s := new(onbelt.Seen)
	err := json.Unmarshal([]byte(args[0].String()), &t)
	if err == nil {
		err = json.Unmarshal([]byte(args[1].String()), s)
	}
	if err == nil {
		if len(args) > 3 {
			s.Add(args[2].Float(), args[3].Float())
		}
		s.Again()
	}
	return answer(t, s, err)
}

func answer(t onbelt.Told, s *onbelt.Seen, err error) any {
	var in *message.Language
	if t.Words != nil {
		in = &message.Language{Words: t.Words}
	}
	var out []byte
	if err == nil {
		out, err = json.Marshal(in.In(s))
	}
	if err != nil {
		return map[string]any{"error": err.Error()}
	}
	return map[string]any{"seen": string(out)}
}
