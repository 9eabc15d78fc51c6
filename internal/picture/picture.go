// Package picture takes photographs in and keeps them with the journal's recordings.
//
// # Question answered
//
// What did it look like: of every photograph one form is kept, upright, without a
// word of where, when and by what it was taken.
//
// # Method
//
// JPEG, PNG and WebP are read by the libraries of Go. What is kept is JPEG. One that
// is upright and no longer than Long stays as it was coded, bit by bit, but for the
// segments that say something beside the picture (ITU-T T.81, annex B); every other
// is turned as its EXIF says (CIPA DC-008, tag 0x0112), reduced to Long on its longer
// side and coded anew. Whichever way, nothing of the file comes along but the picture.
//
// # Limits
//
// Nothing is decoded that would take more than maxHeld of memory or has more than
// maxPixels: what the head of a file says is looked at first. Pictures that are
// decoded at once take no more together. Colours are taken as
// sRGB. HEIC is refused.
package picture

import (
	"bytes"
	"context"
	"image"
	"image/color"
	stddraw "image/draw"
	"image/jpeg"
	_ "image/png" // read by image.Decode
	"math"

	"golang.org/x/image/draw"
	_ "golang.org/x/image/webp" // read by image.Decode
	"golang.org/x/sync/semaphore"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Media is the media type of every picture that is kept.
const Media = "image/jpeg"

// MaxFile is the largest file that is read, in bytes.
const MaxFile = 32 << 20

// Long is how many pixels the longer side of a picture that was reduced has, and
// Small how many that of its small version.
const (
	Long  = 3200
	Small = 480
)

const (
	maxPixels = 50e6
	maxHeld   = 256 << 20 // bytes
)

// room is the memory that all pictures being read may take.
var room = semaphore.NewWeighted(maxHeld)

// Read returns the picture in a file as it is kept. The error is an Invalid one that
// says what would be right. It waits while others take the memory.
func Read(src []byte) ([]byte, error) {
	img, format, leave, err := decode(src)
	if err != nil {
		return nil, err
	}
	defer leave()
	held := orientation(src, format)
	if plain, _ := stripped(src); format == "jpeg" && held < 2 && longer(img) <= Long && plain != nil {
		return plain, nil
	}
	return encode(turned(reduced(img, Long), held), 90)
}

// Reduced returns the small version of a picture that is kept.
func Reduced(src []byte) ([]byte, error) {
	img, _, leave, err := decode(src)
	if err != nil {
		return nil, err
	}
	defer leave()
	return encode(reduced(img, Small), 80)
}

// Plain reports whether a file is a picture as it is kept: a JPEG no longer than Long that
// says nothing beside the picture. It is not decoded.
func Plain(src []byte) bool {
	plain, _ := stripped(src)
	head, format, err := image.DecodeConfig(bytes.NewReader(src))
	return err == nil && format == "jpeg" && max(head.Width, head.Height) <= Long && bytes.Equal(plain, src)
}

func encode(img image.Image, quality int) ([]byte, error) {
	var b bytes.Buffer
	err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality})
	return b.Bytes(), err
}

func invalid(msg, hint message.Text) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: "picture", Msg: msg, Hint: hint}
}

// decode reads a file whose head keeps to the bounds. Whoever is done with the
// picture leaves its room to others.
func decode(src []byte) (img image.Image, format string, leave func(), err error) {
	if len(src) > MaxFile {
		return nil, "", nil, invalid(message.Of("the file is larger than %d MB", MaxFile>>20),
			"reduce it, or cut it to what matters")
	}
	head, format, err := image.DecodeConfig(bytes.NewReader(src))
	if err != nil || format != "jpeg" && format != "png" && format != "webp" {
		return nil, "", nil, unknown(src)
	}
	pixels, each := float64(head.Width)*float64(head.Height), bytesPerPixel(src, format, head.ColorModel)
	if most := math.Min(maxPixels, maxHeld/each); pixels > most {
		return nil, "", nil, invalid(message.Of("the picture has %d × %d pixels, more than %.0f million", head.Width,
			head.Height, most/1e6), "reduce it, or cut it to what matters")
	}
	takes := int64(math.Min(maxHeld, pixels*(each+8))) // and drawn anew and turned
	_ = room.Acquire(context.Background(), takes)      // fails only where the context ends
	if img, _, err = image.Decode(bytes.NewReader(src)); err != nil || img.Bounds().Empty() {
		room.Release(takes)
		return nil, "", nil, invalid("the picture is cut off or damaged", "send the original again")
	}
	return img, format, func() { room.Release(takes) }, nil
}

// unknown refuses a file that is none of the pictures that are read.
func unknown(src []byte) error {
	if len(src) > 12 && string(src[4:8]) == "ftyp" { // ISO/IEC 14496-12: HEIC, AVIF and films
		return invalid("pictures of this sort (HEIC) are not read",
			"set the camera to JPEG (“most compatible”), or save the picture as JPEG and send that")
	}
	return invalid("the file is no picture that can be read", "send a JPEG, PNG or WebP")
}

// bytesPerPixel is what decoding takes at the most.
func bytesPerPixel(src []byte, format string, m color.Model) float64 {
	if format == "jpeg" {
		if _, progressive := stripped(src); !progressive {
			return 4
		}
		return 20 // coefficients of four bytes are held for up to four components
	}
	return 8
}

// Marks of JPEG: ITU-T T.81, table B.1.
const (
	startOfImage = 0xd8
	endOfImage   = 0xd9
	startOfScan  = 0xda
	progressive  = 0xc2
	adobe        = 0xee // says how colours are coded
)

// stripped returns a JPEG without what it says beside the picture: application
// segments, comments and whatever follows its end; nil where it cannot be told
// apart. It also tells whether the picture is coded progressively.
func stripped(src []byte) (plain []byte, stepwise bool) {
	if len(src) < 4 || src[0] != 0xff || src[1] != startOfImage {
		return nil, false
	}
	plain = append(make([]byte, 0, len(src)), src[:2]...)
	for at := 2; at+2 <= len(src) && src[at] == 0xff; {
		mark := src[at+1]
		if mark == endOfImage {
			return append(plain, 0xff, endOfImage), stepwise
		}
		if at+4 > len(src) {
			break
		}
		end := at + 2 + int(src[at+2])<<8 + int(src[at+3])
		if mark == 0xff || end > len(src) {
			break
		}
		if mark == startOfScan {
			for end+1 < len(src) && (src[end] != 0xff || src[end+1] == 0 || src[end+1]&0xf8 == 0xd0) {
				end++
			}
		}
		switch {
		case mark == adobe:
			return nil, stepwise // coded anew
		case mark < 0xc0:
			return nil, stepwise
		case mark < 0xe0:
			plain, stepwise = append(plain, src[at:end]...), stepwise || mark == progressive
		}
		at = end
	}
	return nil, stepwise
}

func longer(img image.Image) int { return max(img.Bounds().Dx(), img.Bounds().Dy()) }

// reduced returns the picture on white, its longer side of at most so many pixels:
// halved while that is less than half, so that every pixel counts.
func reduced(img image.Image, most int) *image.RGBA {
	for {
		b, now := img.Bounds(), longer(img)
		w, h := b.Dx(), b.Dy()
		switch {
		case now >= 2*most:
			w, h = (w+1)/2, (h+1)/2
		case now > most:
			w, h = max(1, w*most/now), max(1, h*most/now)
		}
		out := image.NewRGBA(image.Rect(0, 0, w, h))
		stddraw.Draw(out, out.Rect, image.White, image.Point{}, stddraw.Src)
		draw.ApproxBiLinear.Scale(out, out.Rect, img, b, draw.Over, nil)
		if max(w, h) <= most {
			return out
		}
		img = out
	}
}

// turned puts a picture upright: held says how the camera was held, 1 to 8.
func turned(src *image.RGBA, held int) *image.RGBA {
	if held < 2 || held > 8 {
		return src
	}
	w, h := src.Rect.Dx(), src.Rect.Dy()
	out := image.NewRGBA(src.Rect)
	if held >= 5 {
		out = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			from := [...][2]int{2: {w - 1 - x, y}, 3: {w - 1 - x, h - 1 - y}, 4: {x, h - 1 - y}, 5: {y, x},
				6: {y, h - 1 - x}, 7: {w - 1 - y, h - 1 - x}, 8: {w - 1 - y, x}}[held]
			copy(out.Pix[out.PixOffset(x, y):][:4], src.Pix[src.PixOffset(from[0], from[1]):])
		}
	}
	return out
}
