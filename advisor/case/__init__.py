"""case"""
