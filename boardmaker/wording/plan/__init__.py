"""What a plan says and when: one stream of lines, from which the sheets and the Markdown list are both written."""
