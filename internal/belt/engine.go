package belt

import "undertray.example/undertray/listen"

// Recording is a sound as samples. Pages and commands hand it on and never
// reach for the engine that reads it.
type Recording = listen.Recording
