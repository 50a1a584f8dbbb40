// Package submit brings a coach's clips to the workers: folders and files flow
// in, objects in the store and jobs in the queue flow out.
//
// Objects are named by owner and content, never by the file's own name, which
// may hold a person's: the same clip goes to the same key, and a changed card
// never slips under a job that waits. A clip whose card is bad is refused here,
// before anything is sent. Files are read, never changed.
package submit
