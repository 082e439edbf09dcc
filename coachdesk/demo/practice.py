"""Who runs the demo practice, and which of its clients belong to the second coach."""

PRACTICE = "Demo practice (all invented)"
OWNER = ("Demo coach", "demo.coach@desk.example")
SECOND_COACH = ("Selma Oyarzund", "selma.oyarzund@desk.example")
ASSISTANT = ("Pascal Wrenholt", "pascal.wrenholt@desk.example")
OF_SECOND_COACH = ("diego", "kwame", "tuomas")
