// Package pose finds a person's joints in a picture with a published network,
// MoveNet SinglePose Thunder: 17 joints, each with a score between 0 and 1.
//
// The network comes as a TensorFlow.js graph, in two files that deploy/pose.sh
// fetches and checks. Its trunk, from the picture to four maps, is written as ONNX
// (convert.go) and run by OpenCV; the maps are read in Go (decode.go). The picture is
// a square of 256 × 256 px of RGB from 0 to 255, rows from the top; the maps are a
// quarter of that each way.
//
// Source: the model's card and its graph, as published; the names of the joints are
// those of the COCO keypoints.
package pose
