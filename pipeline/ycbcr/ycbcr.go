package ycbcr

// Weights are the parts of red and blue in luma of a matrix, bt601, bt2020 or else bt709:
// ITU-R BT.601-7 §2.5.1, BT.709-6 §3.2, BT.2020-2 table 4.
func Weights(matrix string) (kr, kb float64) {
	switch matrix {
	case "bt601":
		return 0.299, 0.114
	case "bt2020":
		return 0.2627, 0.0593
	}
	return 0.2126, 0.0722
}

// Scales are the code of black, the codes from black to white, and those from end to end of
// Cb and Cr, of 8-bit samples in full or limited range.
func Scales(fullRange bool) (black, luma, chroma float64) {
	if fullRange {
		return 0, 255, 255
	}
	return 16, 219, 224
}
