//go:build js && wasm

// Command reader reads pictures of belts in a browser, so that they go nowhere: package onbelt built for it. A page
// runs it in a worker, see internal/web/static/count-worker.js.
package main

import (
	"encoding/json"
	"image"
	"syscall/js"

	"undertray.example/undertray/internal/tally/onbelt"
)

func main() {
	js.Global().Set("readBelt", js.FuncOf(read))
	js.Global().Set("countAgain", js.FuncOf(again))
	select {}
}

// read takes the light of a picture, a byte a pixel, its width and height, and the options in JSON, and returns what is
// seen, or an error.
func read(_ js.Value, args []js.Value) any {
	p := image.NewGray(image.Rect(0, 0, args[1].Int(), args[2].Int()))
	js.CopyBytesToGo(p.Pix, args[0])
	var o onbelt.Options
	if err := json.Unmarshal([]byte(args[3].String()), &o); err != nil {
		return answer(nil, err)
	}
	return answer(onbelt.Read(p, o))
}

// again takes what was seen, with what was struck out, and in x and y where a mark is added, if one is.
func again(_ js.Value, args []js.Value) any {
	s := new(onbelt.Seen)
	err := json.Unmarshal([]byte(args[0].String()), s)
	if err == nil {
		if len(args) > 2 {
			s.Add(args[1].Float(), args[2].Float())
		}
		s.Again()
	}
	return answer(s, err)
}

func answer(s *onbelt.Seen, err error) any {
	var out []byte
	if err == nil {
		out, err = json.Marshal(s)
	}
	if err != nil {
		return map[string]any{"error": err.Error()}
	}
	return map[string]any{"seen": string(out)}
}
