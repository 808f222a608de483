"""Photos of a panel that lies on the printed capture mat, read into a `Tracing`.

In: photos, the mat's `mat.json`, its bars as printed. Out: outline and holes with a stated uncertainty, or a refusal.
The one room that needs OpenCV, which is an extra; `reading` is its flow. Its numbers come from OpenCV and LAPACK: the
same input gives the same output on one machine, not on every processor.
"""
