package mark

// Plane is one plane of a frame, 8 bits, rows Stride bytes apart.
type Plane struct {
	Pix           []uint8
	Width, Height int
	Stride        int
}

// planes are one frame's samples.
type planes struct{ y, u, v Plane }
