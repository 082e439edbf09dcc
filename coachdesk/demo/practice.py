"""Who runs the demo practice, and which of its clients belong to the second coach."""

PRACTICE = "Demo practice (all invented)"
OWNER = ("Demo coach", "demo.coach@desk.example")
SECOND_COACH = ("Selma Oyarzund", "selma.oyarzund@desk.example")
ASSISTANT = ("Pascal Wrenholt", "pascal.wrenholt@desk.example")
# Who train together on Tuesdays and Thursdays, where the first of them trains.
GROUP = ("Tuesday and Thursday, six", ("Henrik Duarte", "Lupe Anand", "Noor Vandesalle"))
OF_SECOND_COACH = ("diego", "kwame", "tuomas")
