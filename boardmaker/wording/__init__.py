"""What is said: numbers, fasteners, torques, steps, cautions, in words that boards, sheets, lists and screen share.

In: the model and what the service found. Out: text. Apart because figures, sheets, text files and the command line must
say the same of the same thing; it knows no type, no page and no file.
"""
