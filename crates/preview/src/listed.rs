//! A lesson as its place in the course has it.
use course::Lesson;
use workbook::lesson_name::LessonName;

/// What its address calls it, and the lesson.
pub type Listed = (LessonName, Lesson);
